"""Schedules, calculation sheets and findings as text, JSON and CSV."""
