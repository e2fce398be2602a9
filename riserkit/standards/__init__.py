"""Published tables, one module a subject, each value with its source and how it was verified."""
