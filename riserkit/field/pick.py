"""The pick list: what is taken from the store, by day and crew where openings state them, else by closet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.design import DoorDesign
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PaperBlock, PaperHeading, Paragraph
from riserkit.field.door import quantity_text
from riserkit.field.paper import Paper
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.holds import DO_NOT_ORDER, HOLD
from riserkit.quantities.counting import counting_order
from riserkit.quantities.grouping import grouped
from riserkit.reports.lengths import length_cell, length_column
from riserkit.reports.materials.between import closet_lines
from riserkit.reports.materials.door import door_lines
from riserkit.reports.materials.site import PRACTICE, added_up
from riserkit.reports.materials.values import METRES, MaterialLine
from riserkit.reports.table import Cell, ReportTable

CLOSETS: Final = "Closets, backbone and pathways"
_NOT_STATED: Final = "not stated"


@dataclass(frozen=True)
class PickGroup:
    """What one crew takes along for a day, or what goes to the doors of a closet.

    Args:
        title: day and crew, or closet.
        day: as stated; empty where it is not, or the group is a closet's.
        crew: as `day`.
        closet: label of the closet, where the group is one's.
        doors: that are built; none on HOLD among them.
        held: marks of its doors on HOLD, for which nothing is taken.
        quantities: by line.
        doors_of: marks of the doors that need a line.
    """

    title: str
    day: str
    crew: str
    closet: str
    doors: tuple[str, ...]
    held: tuple[str, ...]
    quantities: Mapping[MaterialLine, float]
    doors_of: Mapping[MaterialLine, tuple[str, ...]]


def pick_groups(work: FieldWork) -> tuple[PickGroup, ...]:
    """The groups in order of work, and last what belongs to no door."""
    by_crew = any(door.opening.crew or door.opening.work_date for door in work.design.doors)
    found = grouped((_key(work, door, by_crew=by_crew), door) for door in work.design.doors)
    # what is not planned yet comes after what is
    order = sorted(found, key=lambda key: tuple((not part, counting_order(part)) for part in key))
    groups = [_group(work, key, found[key], by_crew=by_crew) for key in order]
    closets = added_up(closet_lines(work.design))
    return (*groups, *([PickGroup(CLOSETS, "", "", "", (), (), closets, {})] if closets else []))


def _key(work: FieldWork, door: DoorDesign, *, by_crew: bool) -> tuple[str, str, str]:
    if by_crew:
        return door.opening.work_date.isoformat() if door.opening.work_date else "", door.opening.crew, ""
    closet = door.placement.closet if door.placement is not None else ""
    return "", "", work.design.labels.closet_of(closet)


def _group(work: FieldWork, key: tuple[str, str, str], doors: Sequence[DoorDesign], *, by_crew: bool) -> PickGroup:
    day, crew, closet = key
    ordered = sorted(doors, key=lambda door: counting_order(door.mark))
    free = [door for door in ordered if door.mark not in work.holds]
    lines = [(door.mark, line, quantity) for door in free for line, quantity in door_lines(work.design, door)]
    marks = grouped((line, mark) for mark, line, _ in lines)
    title = (
        f"{day or 'Day not stated'}, {f'crew {crew}' if crew else 'crew not stated'}"
        if by_crew
        else f"Closet {closet or _NOT_STATED}"
    )
    return PickGroup(
        title, day, crew, closet, tuple(door.mark for door in free),
        tuple(door.mark for door in ordered if door.mark in work.holds), added_up((line, q) for _, line, q in lines),
        {line: tuple(dict.fromkeys(found)) for line, found in marks.items()},
    )  # fmt: skip


def pick_paper(work: FieldWork, groups: Sequence[PickGroup]) -> Paper:
    """The list on paper."""
    return work.paper("Pick list", "What is taken from the store", tuple(_blocks(work, groups)))


def _blocks(work: FieldWork, groups: Sequence[PickGroup]) -> Iterator[PaperBlock]:
    yield Paragraph(PRACTICE)
    yield Paragraph("Cable is cut by the reel plan; lengths here are sums of cable in place, slack included.")
    units = work.design.site.info.unit_system
    for group in groups:
        yield PaperHeading(group.title)
        if group.doors:
            yield Paragraph(f"Doors: {', '.join(group.doors)}.")
        if group.held:
            yield Paragraph(f"{HOLD}, nothing is taken for: {', '.join(group.held)}. {DO_NOT_ORDER}.")
        for words, marks in _first(work, group).items():
            yield Paragraph(
                f"{words} of {', '.join(marks)}: what is wrong with what is listed here stands in the packets."
            )
        rows = tuple(
            (quantity_text(quantity, line.unit, units), line.description, ", ".join(filter(None, (line.item, line.note))),
             ", ".join(group.doors_of.get(line, ())))
            for line, quantity in group.quantities.items()
        )  # fmt: skip
        yield WorkTable("", _COLUMNS, rows)


def _first(work: FieldWork, group: PickGroup) -> Mapping[str, list[str]]:
    """What is to be resolved before things are taken for some doors, with the marks of the doors."""
    return grouped((words, mark) for mark in group.doors if (words := work.holds.first_words(mark)))


_COLUMNS: Final = (
    WorkColumn("Quantity", "tick", leads=True, max_mm=32), WorkColumn("What", leads=True, max_mm=60),
    WorkColumn("Id, note", max_mm=50), WorkColumn("Doors", max_mm=50),
)  # fmt: skip


def pick_table(work: FieldWork, groups: Sequence[PickGroup]) -> ReportTable:
    """The list as a schedule."""
    units = work.design.site.info.unit_system
    columns = (
        "work_date", "crew", "closet", "kind", "item", "description", "pieces", length_column("length", units), "note", "openings",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for group in groups:
        for line, quantity in group.quantities.items():
            cable = line.unit == METRES
            rows.append(
                (
                    group.day, group.crew, group.closet, line.kind, line.item, line.description,
                    None if cable else round(quantity), length_cell(quantity, units) if cable else None, line.note,
                    " ".join(group.doors_of.get(line, ())),
                )
            )  # fmt: skip
        for words, marks in _first(work, group).items():
            rows.append((group.day, group.crew, group.closet, "", "", "", None, None, words, " ".join(marks)))
        if group.held:
            note = f"{HOLD}: nothing is taken for these"
            rows.append((group.day, group.crew, group.closet, "", "", "", None, None, note, " ".join(group.held)))
    return ReportTable("pick_list", columns, tuple(rows))
