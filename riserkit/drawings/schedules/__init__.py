"""Sheets of schedules."""
