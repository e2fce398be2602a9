"""The riser diagram."""
