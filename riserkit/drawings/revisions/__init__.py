"""What changed on a sheet since it was issued, and the clouds and deltas that show it."""
