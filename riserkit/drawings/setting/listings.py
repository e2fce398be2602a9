"""Listings: tables set into the rooms that sheets have left, one after the other, going on where a room ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.text import shorten, text_width_mm
from riserkit.drawings.setting.table import TITLE_MM, TITLE_SHARE, LaidOutTable, TableColumn, lay_out

GAP_MM: Final = 5.0
TABLE_MM: Final = 118.0
"""Width of a room for tables whose columns take what they need."""
_LEAST_ROWS_MM: Final = 30.0
_CONTINUED: Final = " (continued)"
_HAIR_MM: Final = 0.01


@dataclass(frozen=True, slots=True)
class Listing:
    """A table of the sheet: title, headers, rows, and for each row what it stands for."""

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    subjects: tuple[str, ...]
    widths_mm: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedTable:
    """A table, or a part of one, with its upper left corner on the sheet."""

    table: LaidOutTable
    at: Point


@dataclass(frozen=True, slots=True)
class Flow:
    """Tables placed, and what found no room."""

    placed: tuple[PlacedTable, ...]
    rest: tuple[Listing, ...]


def flow_tables(listings: Sequence[Listing], area: Rect) -> Flow:
    """Set listings into an area, downward and then to the right, in order.

    Args:
        listings: the tables.
        area: of the sheet.
    """
    placed: list[PlacedTable] = []
    waiting = list(listings)
    x, y, widest = area.x0, area.y1, 0.0
    while waiting:
        listing = waiting[0]
        table = (
            _lay_out(listing, min(_width(listing), area.x1 - x), y - area.y0) if _fits(listing, area.x1 - x) else None
        )
        if table is not None and table.rows:
            placed.append(PlacedTable(table, (x, y)))
            widest = max(widest, table.width_mm)
            y -= table.height_mm + GAP_MM
            waiting.pop(0)
            if table.rest:
                waiting.insert(0, _rest(listing, len(table.rows)))
            if not table.rest and y - area.y0 >= _LEAST_ROWS_MM:
                continue
        elif y == area.y1:
            break
        x, y, widest = x + (widest or _width(listing)) + GAP_MM, area.y1, 0.0
    return Flow(tuple(placed), tuple(waiting))


def _width(listing: Listing) -> float:
    fixed = [width for width in listing.widths_mm if width is not None]
    return sum(fixed) if len(fixed) == len(listing.headers) else TABLE_MM


def _fits(listing: Listing, room_mm: float) -> bool:
    return room_mm >= _width(listing) - 1e-6


def _lay_out(listing: Listing, width_mm: float, height_mm: float) -> LaidOutTable:
    widths = listing.widths_mm or (None,) * len(listing.headers)
    columns = [TableColumn(header, width) for header, width in zip(listing.headers, widths, strict=True)]
    return lay_out(
        columns,
        listing.rows,
        width_mm=width_mm,
        height_mm=height_mm,
        title=_title(listing),
        subjects=listing.subjects,
    )


def _title(listing: Listing) -> str:
    """A long title gives way to the word that says that the table goes on."""
    if not listing.title.endswith(_CONTINUED):
        return listing.title
    room = _width(listing) * TITLE_SHARE - text_width_mm(_CONTINUED, TITLE_MM) - _HAIR_MM
    return shorten(listing.title.removesuffix(_CONTINUED), room, TITLE_MM) + _CONTINUED


def _rest(listing: Listing, placed: int) -> Listing:
    title = listing.title.removesuffix(_CONTINUED) + _CONTINUED
    return replace(listing, title=title, rows=listing.rows[placed:], subjects=listing.subjects[placed:])


def draw_tables(canvas: Canvas, tables: Sequence[PlacedTable]) -> None:
    """Draw them."""
    for placed in tables:
        placed.table.draw(canvas, placed.at)
