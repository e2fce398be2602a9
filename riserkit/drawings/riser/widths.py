"""Shares the width of a sheet out among the columns of a riser, so that the whole becomes as low as it can."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final

from riserkit.drawings.riser.cells import make_cell
from riserkit.drawings.riser.grid import ColumnPlan, Inputs, row_widths_mm, width_for_rows

_MOST_ROWS: Final = 40


def share_width(inputs: Inputs, plans: Sequence[ColumnPlan], part: range, width_mm: float) -> tuple[float, ...]:
    """Room for the openings of each column of a part.

    Every group gets as few rows as all can have alike; what is left goes where it saves most height.

    Args:
        inputs: what is to be drawn.
        plans: of all columns.
        part: the columns that stand beside each other on one sheet.
        width_mm: of that sheet.
    """
    natural = {n: plans[n].natural_mm for n in part}
    room = width_mm - inputs.beside_mm - sum(plans[n].fixed_mm for n in part)
    if sum(natural.values()) <= room:
        return tuple(natural.values())
    given = _as_many_rows(inputs, plans, part, room)
    spare = room - sum(given.values())
    bands = range(inputs.arrangement.tiers)

    @cache
    def heights(n: int, items_mm: float) -> tuple[float, ...]:
        return tuple(make_cell(inputs, n, band, items_mm).height for band in bands)

    wishes = {n: row_widths_mm(inputs, n) for n in part}
    while True:
        table = {n: heights(n, given[n]) for n in part}
        before = sum(max(column[band] for column in table.values()) for band in bands)
        best = (0.0, 0.0, 0, 0.0)
        for n in part:
            others = [max((table[k][band] for k in part if k != n), default=0.0) for band in bands]
            for wish in wishes[n]:
                more = wish - given[n]
                if 0 < more <= spare:
                    after = sum(map(max, others, heights(n, wish)))
                    best = max(best, ((before - after) / more, -more, -n, wish))
        if best[0] <= 0:
            return tuple(given.values())
        n = -best[2]
        spare -= best[3] - given[n]
        given[n] = best[3]


def _as_many_rows(inputs: Inputs, plans: Sequence[ColumnPlan], part: range, room_mm: float) -> dict[int, float]:
    """Widths at which no group takes more rows than the fewest that fit for all."""
    given = {n: plans[n].least_mm for n in part}
    for rows in range(2, _MOST_ROWS + 1):
        widths = {n: max(plans[n].least_mm, width_for_rows(inputs, n, rows)) for n in part}
        if sum(widths.values()) <= room_mm:
            return widths
    return given
