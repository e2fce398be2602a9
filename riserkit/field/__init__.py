"""Papers for the crew: packets of doors and closets, pick list, reel plan, labels, and the workbook."""
