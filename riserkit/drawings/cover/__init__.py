"""Cover and general notes."""
