"""The site to start from."""
