"""Legibility, measured on the sheets as read back from disk."""
