"""Wiring details as a channel-routing problem: place, choose lanes, draw."""
