"""Tables set into the rooms that sheets have left, one after the other, going on where a room ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import blake2b
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.setting.table import LaidOutTable, Table, lay_out

GAP_MM: Final = 5.0
TABLE_MM: Final = 118.0
"""Width of a room for tables whose columns take what they need."""
_LEAST_ROWS_MM: Final = 30.0
_BREAK_SHARE: Final = 0.15
"""Of a table's rows on a sheet, how many may be left for the next, so that its break stays where it is."""
_CONTINUED: Final = " (continued)"


@dataclass(frozen=True, slots=True)
class PlacedTable:
    """A table, or a part of one, with its upper left corner on the sheet."""

    table: LaidOutTable
    at: Point


@dataclass(frozen=True, slots=True)
class Flow:
    """Tables placed, and what found no room."""

    placed: tuple[PlacedTable, ...]
    rest: tuple[Table, ...]


def flow_tables(tables: Sequence[Table], area: Rect, corner: Rect | None = None, *, breaks_alike: bool = False) -> Flow:
    """Set tables into an area, downward and then to the right, in order.

    Below a table so wide that no column goes beside it, columns begin anew.

    Args:
        tables: of free columns, or of columns with widths.
        area: of the sheet.
        corner: what is taken of it at the lower right.
        breaks_alike: break a table that goes on elsewhere where it most likely was broken before, if need be some rows
            earlier; see `_kept_rows`.
    """
    placed: list[PlacedTable] = []
    waiting, begun = list(tables), Table("", (), ())
    x, y, top, widest = area.x0, area.y1, area.y1, 0.0
    while waiting:
        first = waiting[0]
        table = _laid_out(first, area, corner, (x, y))
        if table is not None and table.rows:
            begun = first
            placed.append(PlacedTable(table, (x, y)))
            widest = max(widest, table.width_mm)
            y -= table.height_mm + GAP_MM
            waiting.pop(0)
            if table.rest:
                waiting.insert(0, first.after(len(table.rows), first.title.removesuffix(_CONTINUED) + _CONTINUED))
            if not table.rest and y - area.y0 >= _LEAST_ROWS_MM:
                if waiting and x + widest + GAP_MM + _width(waiting[0]) > area.x1:
                    top, widest = y, 0.0
                continue
        elif y == top:
            break
        x, y, widest = x + (widest or _width(first)) + GAP_MM, top, 0.0
    if breaks_alike and placed and placed[-1].table.rest:
        table = placed[-1].table
        here = sum(len(one.table.rows) for one in placed if one.table.name == table.name)
        kept = _kept_rows(begun, len(table.rows), int(here * _BREAK_SHARE))
        placed[-1] = replace(placed[-1], table=replace(table, rows=table.rows[:kept], rest=len(begun.rows) - kept))
        waiting[0] = begun.after(kept, waiting[0].title)
    return Flow(tuple(placed), tuple(waiting))


def _kept_rows(table: Table, room: int, may_go: int) -> int:
    """How many of the rows that have room stand before the break: all but a few.

    A row more or less before it would move every later row to another place, on all sheets that follow. So a break is
    sought among the last rows that have room by what they are, not by how many: before the one whose digest is the least.
    """
    known_by = table.keys or tuple(row[0] for row in table.rows)
    last = range(max(1, room - may_go), room + 1)
    return min(last, key=lambda n: blake2b(known_by[n].encode("utf-8", "replace")).digest())


def _laid_out(table: Table, area: Rect, corner: Rect | None, at: Point) -> LaidOutTable | None:
    """As much of a table as goes there; None where it is too wide."""
    x, y = at
    width_mm = min(_width(table), area.x1 - x)
    if width_mm < _width(table) - 1e-6:
        return None
    beside = corner is None or x + width_mm <= corner.x0 - GAP_MM
    bottom = area.y0 if beside or corner is None else max(area.y0, corner.y1 + GAP_MM)
    return lay_out(table, width_mm=width_mm, height_mm=y - bottom) if y > bottom else None


def _width(table: Table) -> float:
    fixed = [column.width_mm for column in table.columns if column.width_mm is not None]
    return sum(fixed) if len(fixed) == len(table.columns) else TABLE_MM


def draw_tables(canvas: Canvas, tables: Sequence[PlacedTable]) -> None:
    """Draw them."""
    for placed in tables:
        placed.table.draw(canvas, placed.at)


def has_hold(page: Iterable[PlacedTable]) -> bool:
    """Whether a row of tables placed is about an opening on HOLD."""
    return any(row.held for placed in page for row in placed.table.rows)
