"""Schedules of openings, cables, conductors, ports, supplies and labels."""
