"""Drawings: geometry for ezdxf, a room for each kind of sheet and for each thing done with sheets.

Each room stands on those named before it.

- `drafting`: what every sheet is made of.
- `elevation`, `wiring`: parts of details. `riser`, `door`, `plan`, `schedules`, `typical`, `cover`: kinds of sheets.
- `plotting`: pictures and prints. `inspection`: legibility, measured on what was written.
- `regenerate`: what a drafter did is kept. `drawing_set`: which sheets there are, and writing them.

Sheets are plain values until they are drawn: `drawing_set.plan.plan_set` says what there will be, and
`drawing_set.write.write_set` draws it on all cores.
"""
