"""A site as it was built: the design with what came back, worked out and judged like any other."""
