"""A crew follows each wire with a finger: the written drawing alone says where it goes, and the conductor schedule agrees.

Only lines, letters and symbols of the DXF are read, no extended data, layer by layer as they print. All arrangements of the
larger sample are drawn, one door of each structure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, design
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect, around
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.typical.gather import structure
from riserkit.drawings.wiring.draw import draw_wiring
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.values import Style
from riserkit.holds import NO_HOLDS
from riserkit.plugin.read import read_site
from riserkit.reports.schedules.wires import conductors_table
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from tests.sweep import swept

SITE = Path(__file__).resolve().parents[3] / "sample_drawings" / "seed-archive" / "site"
DESIGNATION = re.compile(r"[A-Z]+\d+")
NUMBERED = re.compile(r"(\d+)(?: ([0-9A-Z]{2,3}))?(?: .*)?")
NEAR_MM = 0.02
MARKS = (
    "101", "102", "103", "104", "105", "106", "107", "108", "109", "110", "111", "201", "202", "203", "204", "205", "209", "301",
    "304", "305", "306", "217", "112", "113", "114", "212", "213", "214", "216", "116", "218",
)  # fmt: skip
"""A door of each structure, as `marks` finds them; stated, so that nothing is designed to list the tests."""
QUICK = ("101", "103", "104", "105", "111", "202", "203", "205")
"""A door of each arrangement."""


class Letters(NamedTuple):
    """A text with the box of its baseline and height."""

    words: str
    box: Rect
    height: float


class Sheet(NamedTuple):
    """What is seen on a drawing: wires by their corners, upright rectangles, texts."""

    wires: tuple[tuple[tuple[float, float], ...], ...]
    rects: tuple[Rect, ...]
    texts: tuple[Letters, ...]


@cache
def made() -> Design:
    return design(read_site(SITE, {}))


@cache
def marks() -> tuple[str, ...]:
    """A door of each structure."""
    first: dict[Netlist, str] = {}
    for door in made().doors:
        if door.wiring.netlist is not None:
            first.setdefault(structure(door.wiring.netlist), door.mark)
    return tuple(first.values())


def seen(netlist: Netlist) -> Sheet:
    """The wiring drawn, written, and read again as lines and letters."""
    canvas = Canvas("T-501", sheet_size("A0"))
    draw_wiring(canvas, lay_out(netlist, Style(), 190.0), (50.0, 50.0), "opening:1")
    wires, rects, texts = [], [], []
    document: Any = canvas.doc
    for entity in document.modelspace():
        kind = entity.dxftype()
        if kind == "TEXT":
            box = around([(p.x, p.y) for p in _ends(entity)])
            texts.append(Letters(entity.dxf.text.replace("^ ", "^"), box, entity.dxf.height))
        elif kind == "LINE":
            points = ((entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y))
            if entity.dxf.layer == layers.CONDUCTOR:
                wires.append(points)
        elif kind == "LWPOLYLINE":
            points = tuple((x, y) for x, y in entity.get_points("xy"))
            if entity.dxf.layer == layers.CONDUCTOR:
                wires.append(points)
            elif entity.closed and len(points) == 4:
                rects.append(around(points))
    return Sheet(tuple(wires), tuple(rects), tuple(texts))


def _ends(entity: Any) -> Sequence[Any]:
    from ezdxf.tools.text_size import text_size  # noqa: PLC0415 - the library's own reckoning, not ours

    size = text_size(entity)
    at = entity.dxf.align_point if entity.dxf.hasattr("align_point") else entity.dxf.insert
    shift = {0: 0.0, 1: size.width / 2, 2: size.width}.get(entity.dxf.halign, size.width / 2)
    start = type(at)((at.x - shift, at.y))
    return start, type(at)((start.x + size.width, start.y + size.cap_height))


def gap(box: Rect, at: tuple[float, float]) -> float:
    """From a point to a box."""
    x = max(box.x0 - at[0], 0.0, at[0] - box.x1)
    y = max(box.y0 - at[1], 0.0, at[1] - box.y1)
    return float((x * x + y * y) ** 0.5)


def landed(sheet: Sheet, at: tuple[float, float]) -> str:
    """The device and the terminal at which a wire ends; of a part across two terminals its designation alone."""
    on = [r for r in sheet.rects if gap(r, at) < NEAR_MM]
    slots = [r for r in on if r.width < 4 and min(abs(at[0] - r.x0), abs(at[0] - r.x1)) < NEAR_MM]
    if not slots:
        free = [t for t in sheet.texts if DESIGNATION.fullmatch(t.words) and not _boxed(sheet, t)]
        return min(free, key=lambda t: gap(t.box, at)).words
    (slot,) = slots
    device = max((r for r in on if r.width >= 4), key=lambda r: r.height)
    inside = [t for t in sheet.texts if device.holds(t.box, 0.5)]
    heading = max(inside, key=lambda t: (t.height, t.box.y0))
    name = min((t for t in inside if t is not heading), key=lambda t: gap(t.box, slot.center))
    return f"{heading.words}.{name.words}"


def _boxed(sheet: Sheet, text: Letters) -> bool:
    return any(r.width >= 4 and r.height > 8 and r.holds(text.box, 0.5) for r in sheet.rects)


def labels(sheet: Sheet, wire: Sequence[tuple[float, float]]) -> Iterator[str]:
    """What is written along the wire's first stretch at each end: over the line, nearest to it."""
    for at, onward in ((wire[0], wire[1]), (wire[-1], wire[-2])):
        over = [
            t
            for t in sheet.texts
            if NUMBERED.fullmatch(t.words) and 0 < t.box.y0 - at[1] < 1.5 and not _boxed(sheet, t)
        ]
        outward = [t for t in over if (t.box.center[0] - at[0]) * (onward[0] - at[0]) > 0]
        if outward:
            yield min(outward, key=lambda t: gap(t.box, at)).words


def drawn(netlist: Netlist) -> dict[str, tuple[str, frozenset[str]]]:
    """Each conductor by number: its colour, and where it lands at both ends."""
    sheet, found = seen(netlist), {}
    across = {c.ref for c in netlist.components} - {t.words for t in sheet.texts if _boxed(sheet, t)}
    for wire in sheet.wires:
        ends = frozenset(landed(sheet, at) for at in (wire[0], wire[-1]))
        numbered = {NUMBERED.fullmatch(text)[1]: NUMBERED.fullmatch(text)[2] or "" for text in labels(sheet, wire)}  # type: ignore[index]
        assert len(numbered) == 1, (ends, numbered)
        ((number, colour),) = numbered.items()
        assert number not in found, number
        found[number] = (colour, ends)
    assert all(len(ends) == 2 for _, ends in found.values()), across
    return found


def scheduled(rows: Sequence[Mapping[str, str]], across: frozenset[str]) -> dict[str, tuple[str, frozenset[str]]]:
    """The same, of the conductor schedule."""
    return {
        row["no"]: (row["colour"], frozenset(_named(end, across) for end in (row["from"], row["to"]))) for row in rows
    }


def _named(end: str, across: frozenset[str]) -> str:
    ref = end.partition(".")[0]
    return ref if ref in across else end


def rows_of(mark: str) -> list[dict[str, str]]:
    table = conductors_table(made(), NO_HOLDS)
    rows = [dict(zip(table.columns, map(str, row), strict=True)) for row in table.rows]
    return [row for row in rows if row["opening"] == mark]


@swept("mark", MARKS, QUICK, slow=MARKS)
def test_every_wire_leads_where_the_schedule_says(mark: str) -> None:
    netlist = made().door[mark].wiring.netlist
    assert netlist is not None
    found = drawn(netlist)
    across = frozenset(end for _, ends in found.values() for end in ends if "." not in end)
    assert found == scheduled(rows_of(mark), across)


def test_the_doors_are_one_of_each_structure() -> None:
    assert marks() == MARKS


@pytest.mark.parametrize("some", [MARKS, QUICK], ids=["all", "quick"])
def test_the_doors_have_every_arrangement(some: tuple[str, ...]) -> None:
    doors = [made().door[mark] for mark in some]
    seen_here = {tried.arrangement for d in doors for tried in (d.wiring.chosen, d.wiring.nearest) if tried}
    assert seen_here == {a.name for a in SHIPPED_ARRANGEMENTS}


def test_two_ends_taken_for_one_another_are_found() -> None:
    """The check itself: a drawing of a netlist with two landings swapped is not what the schedule says."""
    mark = marks()[0]
    netlist = made().door[mark].wiring.netlist
    assert netlist is not None
    first, second, *rest = [c for c in netlist.conductors if c.cable and c.colour != "4PR"]
    others = [c for c in netlist.conductors if c not in (first, second, *rest)]
    swapped = replace(netlist, conductors=(*others, replace(first, b=second.b), replace(second, b=first.b), *rest))
    found = drawn(swapped)
    across = frozenset(end for _, ends in found.values() for end in ends if "." not in end)
    assert found != scheduled(rows_of(mark), across)
