"""Inspections of sheets as JSON and as lines for people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict

from rich.markup import escape

from riserkit.drawings.legibility.values import SheetInspection
from riserkit.quantities.counting import counted
from riserkit.reports.printing import plain_table, wide_console


def inspection_json(inspections: Sequence[SheetInspection]) -> str:
    """All inspections as one JSON document, millimetres of paper."""
    sheets = [{**asdict(i), "unread": dict(i.unread)} for i in inspections]
    return json.dumps({"sheets": sheets}, indent=1, ensure_ascii=False, allow_nan=False)


def print_inspection(inspections: Sequence[SheetInspection]) -> None:
    """Every violation with its place, what was not inspected, and the count of all."""
    console = wide_console()
    violations = [v for i in inspections for v in i.violations]
    if violations:
        columns = ("sheet", "zone", "x, y in mm", "check")
        table = plain_table(*columns, "what", no_wrap=columns)
        for v in violations:
            table.add_row(escape(v.sheet), v.zone, f"{v.x_mm:g}, {v.y_mm:g}", v.check, escape(v.message))
        console.print(table)
    for i in inspections:
        for kind, count in i.unread:
            console.print(f"Sheet {escape(i.sheet)}: {count} of kind {escape(kind)} not inspected")
    console.print(count_line(inspections))


def count_line(inspections: Sequence[SheetInspection]) -> str:
    """How many sheets, texts and crossings were looked at, and how much of it is not as it has to be."""
    crossings, bridged = sum(i.crossings for i in inspections), sum(i.bridged for i in inspections)
    violations = sum(len(i.violations) for i in inspections)
    letters = sum(i.letters for i in inspections)
    return (
        f"{len(inspections)} sheets, {letters} lines of text, {crossings} crossings of cables ({bridged} bridged): "
        f"{counted(violations, 'violation')}"
    )
