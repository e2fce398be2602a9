"""What a crew brings back, and the site as it was built."""
