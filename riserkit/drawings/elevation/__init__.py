"""Front elevations of openings."""
