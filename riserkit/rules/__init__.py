"""One file a rule: its name, source, why it matters, what it measures, the remedy."""
