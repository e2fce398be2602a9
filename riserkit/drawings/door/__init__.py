"""A door's own sheet."""
