"""Doors wired alike, drawn once."""
