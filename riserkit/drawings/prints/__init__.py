"""Pictures and prints."""
