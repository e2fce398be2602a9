"""Quantities: text with a unit in, SI inside, text with a unit out; and the order in which people look marks up."""
