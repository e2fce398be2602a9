"""Tables set into the rooms that sheets have left, one after the other, going on where a room ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.setting.table import LaidOutTable, Table, lay_out

GAP_MM: Final = 5.0
TABLE_MM: Final = 118.0
"""Width of a room for tables whose columns take what they need."""
_LEAST_ROWS_MM: Final = 30.0
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


def flow_tables(tables: Sequence[Table], area: Rect, corner: Rect | None = None) -> Flow:
    """Set tables into an area, downward and then to the right, in order.

    Below a table so wide that no column goes beside it, columns begin anew.

    Args:
        tables: of free columns, or of columns with widths.
        area: of the sheet.
        corner: what is taken of it at the lower right.
    """
    placed: list[PlacedTable] = []
    waiting = list(tables)
    x, y, top, widest = area.x0, area.y1, area.y1, 0.0
    while waiting:
        first = waiting[0]
        table = _laid_out(first, area, corner, (x, y))
        if table is not None and table.rows:
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
    return Flow(tuple(placed), tuple(waiting))


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
