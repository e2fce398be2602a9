"""The folder of results: built whole or not at all, inspected, and hand edits kept."""
