"""Netlists and the DC solver. Knows nothing of doors or buildings."""
