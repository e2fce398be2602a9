"""Schedules: every row of every table on a sheet, once, in order, whole; split over as many sheets as it takes."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.file_tags import drawing_of
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.schedules.sheets import as_drawn, draw_schedule_sheet, heading_text, plan_schedules
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.model.records import IssuedLabel
from riserkit.quantities.natural_order import natural_order

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "riser_sites.py"))
SITE = SITES["archive"]()
LONG = Table(
    "Schedule of openings",
    columns_of(("Mark", "Name", "Lock", "Length m")),
    tuple(
        (f"M{n:04d}", f"Room {n} behind the long corridor of the north wing", "strike-12", "31.5") for n in range(900)
    ),
    name="openings",
)
SHORT = Table("Schedule of supplies", columns_of(("Supply", "Part")), (("PS-1", "supply-24-4"),), name="supplies")
EMPTY = Table("Schedule of backbone cables", columns_of(("Cable",)), (), name="backbone_cables")


@pytest.mark.slow
def test_every_row_is_drawn_once_and_in_order_over_the_sheets() -> None:
    schedules = plan_schedules(SITE, (LONG, EMPTY, SHORT))
    assert len(schedules.sheet_ids) > 1
    assert schedules.sheet_ids[:2] == ("T-651", "T-652")
    marks = []
    for n in range(len(schedules.sheet_ids)):
        doc: Any = drawing_of(draw_schedule_sheet(schedules, n).to_bytes().decode())
        assert not doc.audit().errors
        assert not doc.audit().fixes
        for entity in doc.modelspace():
            mark = read_mark(entity)
            assert mark is not None
            if entity.dxftype() == "TEXT" and mark.model_id.startswith("table:openings/") and entity.dxf.text[0] == "M":
                marks.append(entity.dxf.text)
    assert marks == [row[0] for row in LONG.rows]
    assert schedules.title(len(schedules.sheet_ids) - 1).endswith(", supplies")


def test_tables_keep_apart_and_inside_their_sheet() -> None:
    schedules = plan_schedules(SITE, (LONG, SHORT))
    assert schedules.frame is not None
    room, corner = schedules.frame.frame.inset(6.0), schedules.frame.corner
    for n, page in enumerate(schedules.pages):
        assert list(draw_schedule_sheet(schedules, n).placed.clashes()) == []
        for placed in page:
            x, y = placed.at
            assert room.x0 - 1e-6 <= x and x + placed.table.width_mm <= room.x1 + 1e-6
            assert y <= room.y1 + 1e-6 and y - placed.table.height_mm >= room.y0 - 1e-6
            assert not Rect(x, y - placed.table.height_mm, x + placed.table.width_mm, y).overlaps(corner)


def test_a_row_that_changes_changes_what_its_own_sheet_shows_and_no_other() -> None:
    other = replace(LONG, rows=(*LONG.rows[:-1], ("M0899", "Room 899", "strike-24", "31.5")))
    one, two = plan_schedules(SITE, (LONG,)), plan_schedules(SITE, (other,))
    numbers = range(len(one.sheet_ids))
    assert [one.shown(n) == two.shown(n) for n in numbers] == [*(True for _ in numbers[:-1]), False]
    assert draw_schedule_sheet(one, 0).to_bytes() == draw_schedule_sheet(two, 0).to_bytes()
    last = numbers[-1]
    assert draw_schedule_sheet(one, last).to_bytes() != draw_schedule_sheet(two, last).to_bytes()


def test_parts_of_one_table_are_alike() -> None:
    widths = {p.table.widths_mm for page in plan_schedules(SITE, (LONG,)).pages for p in page}
    assert len(widths) == 1


def test_no_tables_no_sheets_and_the_same_bytes_twice() -> None:
    assert plan_schedules(SITE, (EMPTY,)).sheet_ids == ()
    with pytest.raises(IndexError):
        draw_schedule_sheet(plan_schedules(SITE, ()), 0)
    one, two = plan_schedules(SITE, (SHORT,)), plan_schedules(SITE, (SHORT,))
    assert draw_schedule_sheet(one, 0).to_bytes() == draw_schedule_sheet(two, 0).to_bytes()


@pytest.mark.parametrize(
    ("column", "heading"),
    [
        ("output_v", "Output V"), ("rated_a", "Rated A"), ("budget_w", "Budget W"), ("poe_class", "PoE class"),
        ("on_ups", "On UPS"), ("length_m", "Length m"), ("length_ft", "Length ft"), ("mark", "Mark"), ("a", "A"),
    ],
)  # fmt: skip
def test_units_stand_in_headings_as_they_are_written(column: str, heading: str) -> None:
    """Symbols of units named after people are capitals, metre and foot are not (SI brochure, 9th edition, 5.2)."""
    assert heading_text(column) == heading


def test_a_schedule_says_nothing_twice_and_is_sorted_by_mark() -> None:
    rows = (("10", "10", "a"), ("9", "9", ""), ("101A", "101A", "c"))
    table = Table("T", columns_of(("Mark", "Label", "Name")), rows, held=(True, False, False))
    drawn = as_drawn(table, sorted_by_mark=True)
    assert drawn.headers == ("Mark", "Name")
    assert drawn.rows == (("9", ""), ("10", "a"), ("101A", "c"))
    assert drawn.held == (False, True, False)
    other = replace(table, rows=(*table.rows, ("7", "B7", "d")), held=())
    assert as_drawn(other, sorted_by_mark=False) == other
    empty = replace(table, rows=(("", "", ""),), held=())
    assert as_drawn(empty, sorted_by_mark=False) == empty


def test_an_issued_number_keeps_its_schedule() -> None:
    """The list of openings grows by sheets: those of the supplies keep their number, new ones take numbers never given."""
    site = SITE.model_copy(update={"info": SITE.info.model_copy(update={"sheet_size": "A2"})})
    few, many = replace(LONG, rows=LONG.rows[:100]), replace(LONG, rows=LONG.rows[:400])
    ports = Table(
        "Schedule of switch ports",
        columns_of(("Closet", "Switch", "Port")),
        tuple(("C1", "SW-1", f"{n}") for n in range(300)),
        name="switch_ports",
    )
    issued = plan_schedules(site, (few, ports))
    given = {issued.on_record(n): sheet_id for n, sheet_id in enumerate(issued.sheet_ids)}
    assert len(given) == len(issued.sheet_ids)
    assert {"schedule openings 1", "schedule switch_ports 1"} <= set(given)
    labels = [IssuedLabel(kind="sheet", subject=subject, label=label) for subject, label in given.items()]
    later = plan_schedules(site.model_copy(update={"issued_labels": tuple(labels)}), (many, ports))
    now = {later.on_record(n): sheet_id for n, sheet_id in enumerate(later.sheet_ids)}
    assert len(now) > len(given)
    for subject, sheet_id in now.items():
        assert given.get(subject, sheet_id) == sheet_id
        assert subject in given or sheet_id not in given.values()
    assert list(now.values()) == sorted(now.values(), key=natural_order)


@pytest.mark.slow
def test_a_row_more_changes_few_of_the_sheets_that_follow() -> None:
    """Rows stay on their sheets where one opening gets another conductor, and its sheets are nearly as full."""
    rows = [(f"{n // 3}", f"cable {n % 3}", *("x" * (n * k % 40) for k in (3, 5, 7, 11))) for n in range(2400)]
    changed = following = 0
    before = _pages(rows)
    for at in (90, 258, 482, 700, 1044, 1201, 1554, 1841):
        longer = [*rows[:at], (rows[at][0], "cable 9", "x", "x", "x", "x"), *rows[at:]]
        after = _pages(longer)
        assert [row for page in after for row in page] == longer
        differ = [page not in before for page in after]
        changed += sum(differ)
        following += len(after) - differ.index(True)
    assert len(before) > 15
    assert changed < following / 4, "all that follow would be drawn anew"
    assert len(before) <= 1.1 * len(rows) / max(len(page) for page in before) + 1


def _pages(rows: list[tuple[str, ...]]) -> list[list[tuple[str, ...]]]:
    """The rows on each sheet."""
    keys = tuple(" ".join(row[:2]) for row in rows)
    table = Table("Cables", columns_of(("Opening", "Cable", "1", "2", "3", "4")), tuple(rows), name="cables", keys=keys)
    pages = plan_schedules(SITE, (table,)).pages
    return [[tuple("".join(c) for c in row.cells) for p in page for row in p.table.rows] for page in pages]
