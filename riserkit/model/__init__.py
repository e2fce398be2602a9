"""What a site is. No files, no drawing, no graph. Frozen, validated, SI inside."""
