"""Windows of a riser: cut between columns and between levels, and set on sheets one below the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.riser.places import RiserLayout

MATCH_MM: Final = 11.0
PART_MM: Final = 13.0
"""Room of the heading of a part, where a sheet shows several."""

_Key = tuple[int, int]
Parts = dict[_Key, "Window"]


@dataclass(frozen=True, slots=True)
class Window:
    """A part of a riser, and where it goes on on each side (empty where it does not).

    Args:
        columns: first, and one past the last.
        bands: levels, first from the top, and one past the last.
        above: words for the match line, such as `sheet T-602, part 2`.
        below: as above.
        left: as above.
        right: as above.
        heading: such as `Part 2`, where a sheet shows several parts.
    """

    columns: tuple[int, int]
    bands: tuple[int, int]
    above: str = ""
    below: str = ""
    left: str = ""
    right: str = ""
    heading: str = ""


def window_rect(layout: RiserLayout, window: Window) -> Rect:
    """What a window shows of the diagram's plane."""
    (first, last), (top, bottom) = window.columns, window.bands
    bands = layout.bands[top:bottom]
    low, high = min(placed.y0 for placed in bands), max(placed.y1 for placed in bands)
    return Rect(layout.columns[first][0], low, layout.columns[last - 1][1], high)


def window_height_mm(layout: RiserLayout, window: Window) -> float:
    """Height on the sheet, with heading and match lines."""
    strips = MATCH_MM * (bool(window.above) + bool(window.below)) + PART_MM * bool(window.heading)
    return window_rect(layout, window).height + strips


def band_breaks(layout: RiserLayout, height_mm: float) -> tuple[int, ...] | None:
    """First levels of each sheet, top first; None when a single level with its match lines is higher than the room."""
    bands, starts = layout.bands, [0]

    def need_mm(first: int, last: int) -> float:
        return bands[first].y1 - bands[last].y0 + MATCH_MM * ((first > 0) + (last < len(bands) - 1))

    for n in range(len(bands)):
        if need_mm(n, n) > height_mm:
            return None
        if need_mm(starts[-1], n) > height_mm:
            starts.append(n)
    return tuple(starts)


def cut_windows(layout: RiserLayout, columns: Sequence[int], bands: Sequence[int]) -> Parts:
    """The windows that hold anything, by row and column; the cuts are given with both ends."""
    grid = {
        (row, column): Window((columns[column], columns[column + 1]), (bands[row], bands[row + 1]))
        for row in range(len(bands) - 1)
        for column in range(len(columns) - 1)
    }
    return {key: window for key, window in grid.items() if _has_content(layout, window)}


def place_windows(
    layout: RiserLayout, parts: Parts, room: Rect, sheet_id: Callable[[int], str]
) -> tuple[tuple[tuple[Window, Rect], ...], ...]:
    """Set the windows on sheets in order, as many below one another as there is room for.

    Args:
        layout: that they show.
        parts: from `cut_windows`.
        room: on every sheet.
        sheet_id: identification of the n-th sheet, from 1.

    Returns:
        for each sheet its windows with their areas.
    """
    sheets: list[list[_Key]] = []
    left = 0.0
    for key, window in parts.items():
        marked = _with_neighbours(window, key, dict.fromkeys(parts, "x"), "x")
        need = window_height_mm(layout, marked)
        if not sheets or need > left:
            sheets.append([])
            left = room.height  # a window alone may need the heading's height more: it has no heading
        sheets[-1].append(key)
        left -= need
    names = {
        key: f"sheet {sheet_id(n)}" + (f", part {k}" if len(keys) > 1 else "")
        for n, keys in enumerate(sheets, 1)
        for k, key in enumerate(keys, 1)
    }
    return tuple(_stacked(layout, parts, keys, names, room) for keys in sheets)


def _stacked(
    layout: RiserLayout, parts: Parts, keys: Sequence[_Key], names: dict[_Key, str], room: Rect
) -> tuple[tuple[Window, Rect], ...]:
    placed, y = [], room.y1
    for k, key in enumerate(keys, 1):
        window = _with_neighbours(parts[key], key, names, f"Part {k}" if len(keys) > 1 else "")
        height = window_height_mm(layout, window)
        placed.append((window, room._replace(y1=y, y0=y - height)))
        y -= height
    return tuple(placed)


def _with_neighbours(window: Window, key: _Key, names: dict[_Key, str], heading: str) -> Window:
    row, column = key
    return replace(
        window,
        above=names.get((row - 1, column), ""),
        below=names.get((row + 1, column), ""),
        left=names.get((row, column - 1), ""),
        right=names.get((row, column + 1), ""),
        heading=heading,
    )


def _has_content(layout: RiserLayout, window: Window) -> bool:
    shown = window_rect(layout, window)
    spots = [closet.rect.center for closet in layout.closets] + [(i.x, i.y) for row in layout.rows for i in row.items]
    if any(shown.x0 <= x <= shown.x1 and shown.y0 <= y <= shown.y1 for x, y in spots):
        return True
    return any(
        min(a[0], b[0]) <= shown.x1
        and max(a[0], b[0]) >= shown.x0
        and min(a[1], b[1]) <= shown.y1
        and max(a[1], b[1]) >= shown.y0
        for wire in layout.wires
        for a, b in pairwise(wire.points)
    )
