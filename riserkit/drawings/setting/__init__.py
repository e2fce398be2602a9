"""Parts of every sheet: frame, title block, tables, legends and notes."""
