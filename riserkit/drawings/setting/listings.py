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


def flow_tables(tables: Sequence[Table], area: Rect) -> Flow:
    """Set tables into an area, downward and then to the right, in order.

    Args:
        tables: of free columns, or of columns with widths.
        area: of the sheet.
    """
    placed: list[PlacedTable] = []
    waiting = list(tables)
    x, y, widest = area.x0, area.y1, 0.0
    while waiting:
        first = waiting[0]
        table = (
            lay_out(first, width_mm=min(_width(first), area.x1 - x), height_mm=y - area.y0)
            if _fits(first, area.x1 - x)
            else None
        )
        if table is not None and table.rows:
            placed.append(PlacedTable(table, (x, y)))
            widest = max(widest, table.width_mm)
            y -= table.height_mm + GAP_MM
            waiting.pop(0)
            if table.rest:
                waiting.insert(0, first.after(len(table.rows), first.title.removesuffix(_CONTINUED) + _CONTINUED))
            if not table.rest and y - area.y0 >= _LEAST_ROWS_MM:
                continue
        elif y == area.y1:
            break
        x, y, widest = x + (widest or _width(first)) + GAP_MM, area.y1, 0.0
    return Flow(tuple(placed), tuple(waiting))


def _width(table: Table) -> float:
    fixed = [column.width_mm for column in table.columns if column.width_mm is not None]
    return sum(fixed) if len(fixed) == len(table.columns) else TABLE_MM


def _fits(table: Table, room_mm: float) -> bool:
    return room_mm >= _width(table) - 1e-6


def draw_tables(canvas: Canvas, tables: Sequence[PlacedTable]) -> None:
    """Draw them."""
    for placed in tables:
        placed.table.draw(canvas, placed.at)


def has_hold(page: Iterable[PlacedTable]) -> bool:
    """Whether a row of tables placed is about an opening on HOLD."""
    return any(row.held for placed in page for row in placed.table.rows)
