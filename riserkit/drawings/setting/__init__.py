"""What stands on every sheet: frame, title block, tables, legends and notes."""
