"""Tests of the shipped plugins and of what loads them."""
