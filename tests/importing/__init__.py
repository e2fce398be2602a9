"""Documents in: lists, plans and models made into tables."""
