"""The whole set: which sheets there are, and writing them."""
