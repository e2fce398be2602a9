"""Materials lists, for each door and for the site."""
