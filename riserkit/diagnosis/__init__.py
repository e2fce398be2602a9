"""Which faults explain what was observed, and what to measure next. Knows nothing of doors."""
