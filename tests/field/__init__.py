"""Papers for the crew, read back."""
