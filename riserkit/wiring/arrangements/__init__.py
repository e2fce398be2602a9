"""Wiring arrangements, one file each."""
