"""riserkit turns a list of doors and a building into checked drawings a field crew can build from."""

__version__ = "0.1.0"
