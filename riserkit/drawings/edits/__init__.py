"""Building into drawings that a drafter went on editing, and again only what changed."""
