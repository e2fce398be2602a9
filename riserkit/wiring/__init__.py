"""Door wiring arrangements, one file each, and the choice among them."""
