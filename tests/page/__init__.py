"""Tests of the page for a browser."""
