"""The site as networkx graphs: topology, routed pathways, cable labels."""
