"""The bench: a door's circuit solved beforehand in every combination of its switches under every single fault, to be tried in a page.

Rooms: `switches` what can be done to a door; `faults` what can be at fault; `live` solves both together, the controller deciding
as it does; `metered` what a real meter makes of it; `ohms` with power off; `table` all of one topology; `script` that as text for a
browser; `picture` the wiring to be clicked; `seen` what a caller tells; `lessons` faults to be found.

Doors share a table only where their circuits have the same values: `table_key`. A browser only looks numbers up.
"""
