"""What rules share: the shape of a rule, lookups, and running them all."""
