"""Sheets to be filled in: the rows of each table that a crew returns, printed from the design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from riserkit.as_built.equipment import equipment_of
from riserkit.design import Design, DoorDesign
from riserkit.field.about import FieldWork
from riserkit.holds import NO_HOLDS, heading_of
from riserkit.model.power import Supply, Switch
from riserkit.model.returned import FIELD_TABLES, FieldTable
from riserkit.quantities.counting import counting_order
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import UnitSystem
from riserkit.reports.schedules.wires import conductors_table, spare_conductors_table
from riserkit.wiring.cables import DesignCable
from riserkit.wiring.roles import DeviceRole

_LISTS: Final = {
    "opening": "openings", "used_closet": "closets", "used_port": "ports", "used_cable_type": "cable types", "fitted_part": "parts",
}  # fmt: skip
"""By column the list of the site's own words for it."""
_SPARE_ROWS: Final = frozenset({"landings", "photos"})
"""Tables with rows for what no drawing has: leads that were added, photographs."""


@dataclass(frozen=True)
class FieldSheet:
    """A table with its rows, the cells of each as many as it prints.

    Args:
        table: what it is.
        rows: printed cells of each row.
        unit_system: in which lengths are filled in.
        has_spare_rows: empty rows follow, to be filled in whole.
        lists: by column the list of words that it takes.
        banner: stands over the sheet where doors on HOLD are on it.
        holds: by the first cell of a row, an opening or a cable, why its door is on HOLD.
    """

    table: FieldTable
    rows: tuple[tuple[str, ...], ...]
    unit_system: UnitSystem = "metric"
    has_spare_rows: bool = False
    lists: Mapping[str, str] = field(default_factory=lambda: _LISTS)
    banner: str = ""
    holds: Mapping[str, str] = field(default_factory=dict)

    @property
    def columns(self) -> tuple[str, ...]:
        """Those printed, then those filled in."""
        return self.table.columns

    def heading(self, column: str) -> str:
        """A column's name, lengths in the site's own unit."""
        if self.unit_system == "imperial" and column == "length_m":
            return "length_ft"
        return column

    def is_number(self, column: str) -> bool:
        """It takes a number, not a word."""
        return column in _MEASURED

    def hold(self, row: Sequence[str]) -> str:
        """Why the door of a row is on HOLD; empty where it is not."""
        return self.holds.get(row[0], "") if row else ""


_MEASURED: Final = frozenset(
    {
        "length_m", "loop_ohm", "insertion_loss_margin_db", "fitted_height_m", "output_v", "on_battery_v", "output_a",
        "battery_v",
    }
)  # fmt: skip


def field_sheets(work: FieldWork, doors: Sequence[DoorDesign]) -> tuple[FieldSheet, ...]:
    """Every table that a crew fills in.

    Args:
        work: the site.
        doors: those that the workbook is about, and their cables; all cables where all doors are.
    """
    rows = {
        "crew": ((),),
        "doors": tuple((d.mark, d.opening.name) for d in doors),
        "landings": tuple(_landings(work.design, doors)),
        "readings": tuple(_readings(work, doors)),
        "lengths": tuple(_lengths(work.design, doors)),
        "cable_tests": tuple(_tests(work.design, doors)),
        "devices": tuple(_devices(doors)),
        "equipment": tuple(_equipment(work.design, doors)),
        "ports": tuple(_ports(work.design, doors)),
        "photos": (),
    }
    units = work.design.site.info.unit_system
    banner, holds = heading_of(work.design), _holds_of_rows(work, doors)
    return tuple(
        FieldSheet(table, rows[name], units, name in _SPARE_ROWS, banner=banner, holds=holds.get(table.columns[0], {}))
        for name, table in FIELD_TABLES.items()
    )


def _holds_of_rows(work: FieldWork, doors: Sequence[DoorDesign]) -> Mapping[str, Mapping[str, str]]:
    """By the first column of a table, and by what stands in it, why the door of that row is on HOLD."""
    held = {mark: hold.words for mark, hold in work.holds.held.items()}
    cables = {c.called: held[c.mark] for c in _cables(work.design, doors) if c.mark in held}
    return {"opening": held, "cable": cables}


def word_lists(design: Design) -> Mapping[str, Sequence[str]]:
    """The site's own words, by list."""
    site, labels = design.site, design.labels
    return {
        "openings": [door.mark for door in design.doors],
        "closets": sorted(labels.closet.values(), key=counting_order),
        "ports": sorted(labels.port.values(), key=counting_order),
        "cable types": sorted(site.cable_type),
        "parts": sorted(site.part),
    }


def _landings(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    """Conductors as the conductor table has them, and after those of its opening each spare one by cable and colour."""
    marks = {door.mark for door in doors}
    spares = grouped(
        (str(mark), (str(mark), "", str(cable), str(colour), "", ""))
        for mark, cable, colour, *_ in spare_conductors_table(design, NO_HOLDS).rows
    )
    found = grouped(
        (str(mark), (str(mark), str(no), str(cable), str(colour), str(start), str(end)))
        for mark, no, start, end, cable, colour, *_ in conductors_table(design, NO_HOLDS).rows
    )
    for mark in (door.mark for door in design.doors if door.mark in marks):
        yield from (*found.get(mark, ()), *spares.get(mark, ()))


def _readings(work: FieldWork, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    for door in doors:
        test = work.tests.get(door.mark)
        for number, reading in enumerate(test.readings if test else (), 1):
            yield (
                door.mark, str(number), reading.what, reading.meter, reading.plus, reading.minus, reading.state, reading.unit,
            )  # fmt: skip


def _cables(design: Design, doors: Sequence[DoorDesign]) -> Iterator[DesignCable]:
    marks = {door.mark for door in doors}
    every = len(marks) == len(design.doors)
    yield from (cable for cable in design.cables if cable.mark in marks or (every and not cable.mark))


def _lengths(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    for c in _cables(design, doors):
        yield c.called, c.from_id, c.to_id, c.cable_type


def _tests(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    for c in _cables(design, doors):
        if design.site.cable_type[c.cable_type].kind == "category":
            yield (c.called,)


def _devices(doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    for door in doors:
        netlist = door.wiring.netlist
        for c in netlist.components if netlist is not None else ():
            if c.role not in (DeviceRole.NETWORK_PORT, DeviceRole.SPLICE):
                yield door.mark, c.ref, c.title, c.part


def _equipment(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    """What stands in the closets of these doors; all of it where all doors are."""
    rooms = {door.placement.closet for door in doors if door.placement is not None}
    every = len(doors) == len(design.doors)
    for one in equipment_of(design).values():
        if every or one.closet in rooms:
            kind = "supply" if isinstance(one, Supply) else "switch" if isinstance(one, Switch) else "UPS"
            part = one.part if isinstance(one, Supply) else ""
            closet = design.labels.closet_of(one.closet)
            yield one.id, " ".join(filter(None, (kind, one.name))), closet, part


def _ports(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, ...]]:
    for door in doors:
        if door.placement is not None:
            closet = design.labels.closet_of(door.placement.closet)
            yield door.mark, door.cable.label if door.cable else "", closet, design.labels.port_of(door.placement)
