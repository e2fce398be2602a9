"""Issues, revisions and what changed between them."""
