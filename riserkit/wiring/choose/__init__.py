"""The choice of an arrangement for each opening, with the reasons."""
