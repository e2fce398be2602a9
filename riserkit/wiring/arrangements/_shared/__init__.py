"""What wiring arrangements share, and the list of those that ship."""
