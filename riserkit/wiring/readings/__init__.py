"""What a meter shows at a door, and how long a lock takes to release."""
