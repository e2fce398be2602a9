"""What is on record: the design as it was issued, what changed since, and which number stands for what."""
