"""Input, kills and edits that mean no good."""
