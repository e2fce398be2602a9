"""Plans of levels."""
