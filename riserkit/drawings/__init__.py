"""Drawings: geometry for ezdxf, a room for each kind of sheet and for each thing done with sheets.

Each room imports those named before it.

- `dxf`: all that draws with ezdxf. `setting`: frame, title block, tables and legends of every sheet.
- `elevation`, `wiring`: parts of details. `riser`, `door`, `plan`, `schedules`, `typical`, `cover`: kinds of sheets.
- `prints`: pictures and PDF. `legibility`: legibility, measured on what was written.
- `edits`: what a drafter did is kept. `set`: which sheets there are, and writing them.

Sheets are plain values until they are drawn: `set.plan.plan_set` says what there will be, and
`set.write.write_set` draws it on all cores.
"""
