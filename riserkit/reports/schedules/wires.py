"""Schedules read off the doors' netlists: cables at doors, conductors, and conductors that land nowhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.circuits.netlist import Cable, Conductor, Netlist
from riserkit.design import Design
from riserkit.holds import Holds
from riserkit.quantities.printed import UnitSystem
from riserkit.reports.lengths import length_cell, length_column
from riserkit.reports.schedules.held import held_table
from riserkit.reports.table import Cell, ReportTable
from riserkit.wiring.roles import DeviceRole

INSULATE: Final = "cut back and insulate by itself, both ends"
_HORIZONTAL: Final = "data"


def netlists(design: Design) -> Iterator[tuple[str, Netlist]]:
    """(mark, netlist) of every door that has one, in the order of the doors."""
    for door in design.doors:
        netlist = door.wiring.netlist
        if netlist is not None:
            yield door.mark, netlist


def cable_label(mark: str, cable: str) -> str:
    """Label of a cable at a door: the opening's mark and the cable's designation.

    Examples:
        >>> cable_label("101", "W2")
        '101-W2'
    """
    return f"{mark}-{cable}"


def device_cables(netlist: Netlist) -> tuple[Cable, ...]:
    """The cables at the door itself: all but the horizontal one, which has a schedule and a label of its own."""
    return tuple(cable for cable in netlist.cables if cable.role != _HORIZONTAL)


def device_cables_table(design: Design, holds: Holds) -> ReportTable:
    """One row a cable at a door; lock power from a supply elsewhere too."""
    system = design.site.info.unit_system
    columns = (
        "cable", "opening", "serves", "cable_type", "from", "to", length_column("length", system), "basis",
        "conductors", "used", "spare",
    )  # fmt: skip
    rows = (
        (mark, _device_cable(mark, netlist, cable, system))
        for mark, netlist in netlists(design)
        for cable in device_cables(netlist)
    )
    return held_table("device_cables", columns, rows, holds)


def _device_cable(mark: str, netlist: Netlist, cable: Cable, system: UnitSystem) -> tuple[Cell, ...]:
    start, end = cable_ends(netlist, cable)
    spare = sum(s.cable == cable.ref for s in netlist.spares)
    held = len(cable.colours)
    return (
        cable_label(mark, cable.ref), mark, cable.role.replace("_", " "), cable.cable_type, start, end,
        length_cell(cable.length_m, system), cable.length_basis, held, held - spare, spare,
    )  # fmt: skip


def cable_ends(netlist: Netlist, cable: Cable) -> tuple[str, str]:
    """Designations at a cable's two ends; of a box with what is in it, all that it is landed on, as `K2, X1`."""
    landed = {end.component for c in netlist.conductors if c.cable == cable.ref for end in (c.a, c.b)}
    order = {component.ref: place for place, component in enumerate(netlist.components)}
    ends = [
        sorted((r for r in landed if (netlist.component(r).inside or r) == place), key=order.__getitem__)
        for place in netlist.places(cable.ref)
    ]
    if len(ends) < 2:
        return "", ""
    start, end = ", ".join(ends[0]), ", ".join(ends[-1])
    # A supply is where its cable comes from; any other device is where its cable goes.
    backward = cable.role == "feed" and not any(netlist.component(r).role == DeviceRole.SUPPLY for r in ends[0])
    return (end, start) if backward else (start, end)


def conductors_table(design: Design, holds: Holds) -> ReportTable:
    """One row a conductor, with both its landings."""
    system = design.site.info.unit_system
    columns = (
        "opening", "no", "from", "to", "cable", "colour", "gauge", length_column("length", system), "note",
    )  # fmt: skip
    rows = ((mark, row) for mark, netlist in netlists(design) for row in _conductors(design, mark, netlist))
    return held_table("conductors", columns, rows, holds)


def _conductors(design: Design, mark: str, netlist: Netlist) -> Iterator[tuple[Cell, ...]]:
    system = design.site.info.unit_system
    cables = {cable.ref: cable for cable in netlist.cables}
    horizontal = design.labels.cable.get(mark, "")
    for conductor in netlist.conductors:
        cable = cables.get(conductor.cable)
        label = _label_of(mark, conductor, cable, horizontal)
        length = length_cell(cable.length_m, system) if cable else None
        yield (
            mark, conductor.ref, str(conductor.a), str(conductor.b), label, conductor.colour, conductor.gauge, length,
            conductor.note,
        )  # fmt: skip


def _label_of(mark: str, conductor: Conductor, cable: Cable | None, horizontal: str) -> str:
    if cable is None:
        return "lead"
    return horizontal if cable.role == _HORIZONTAL and horizontal else cable_label(mark, conductor.cable)


def spare_conductors_table(design: Design, holds: Holds) -> ReportTable:
    """One row a conductor that lands nowhere, each by itself: two bare ends that touch can open a door."""
    rows = (
        (mark, (mark, cable_label(mark, spare.cable), spare.colour, INSULATE))
        for mark, netlist in netlists(design)
        for spare in netlist.spares
    )
    return held_table("spare_conductors", ("opening", "cable", "colour", "what_to_do"), rows, holds)
