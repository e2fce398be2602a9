"""Schedules of the equipment in closets and at doors that feeds them: switch ports and DC supplies."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.design import Design, DoorDesign
from riserkit.holds import Holds
from riserkit.model.parts import DcSupply
from riserkit.model.power import Supply, Switch, Ups
from riserkit.network.placement import held_ports
from riserkit.quantities.grouping import grouped
from riserkit.reports.table import Cell, ReportTable
from riserkit.wiring.closets import TO_BE_ADDED

"""Where a supply is that the wiring asks for and the site does not have."""


def switch_ports_table(design: Design, holds: Holds) -> ReportTable:
    """One row a port of every switch: its label, its class, and the opening on it or `free` or `uplink`.

    A port on record for an opening that is gone says so: its cable may still hang there.
    """
    used = grouped(
        ((door.placement.switch, door.placement.port), door.mark)
        for door in design.doors
        if door.placement is not None and door.placement.switch
    )
    for (switch_id, port), mark in held_ports(design.site).items():
        used.setdefault((switch_id, port), [f"{mark} (not in the door list)"])
    given = tuple(row for switch in design.site.switches for row in _ports(design, switch, used))
    columns = ("closet", "switch", "port", "label", "poe_class", "opening", "cable", "hold")
    rows = tuple((*row, "; ".join(filter(None, map(holds.words, marks)))) for row, marks in given)
    return ReportTable("switch_ports", columns, rows, tuple(any(mark in holds for mark in marks) for _, marks in given))


def _ports(
    design: Design, switch: Switch, used: dict[tuple[str, int], list[str]]
) -> Iterator[tuple[tuple[Cell, ...], list[str]]]:
    closet = design.labels.closet_of(switch.closet)
    for port, poe_class in enumerate(switch.classes, start=1):
        label = design.labels.port.get(f"{switch.id}:{port}", "")
        marks = used.get((switch.id, port), [])
        empty = "free" if port <= switch.door_ports else "uplink"
        cables = " ".join(design.labels.cable.get(mark, "") for mark in marks)
        yield (closet, switch.id, port, label, poe_class, " ".join(marks) or empty, cables), marks


def supplies_table(design: Design) -> ReportTable:
    """One row a DC supply: those of the site with all their doors, those that the wiring asks to be added; then each UPS."""
    columns = ("supply", "part", "stands_at", "output_v", "rated_a", "load_a", "openings", "on_battery")
    fed: dict[str, list[DoorDesign]] = {}
    added = []
    for door in design.doors:
        drawn = door.wiring.drawn
        if drawn is not None and drawn.supply_id:
            fed.setdefault(drawn.supply_id, []).append(door)
        elif drawn is not None and drawn.supply_at == TO_BE_ADDED:
            added.append(door)
    rows = [_of_the_site(design, supply, fed.get(supply.id, [])) for supply in design.site.supplies]
    rows += [_to_be_added(design, door) for door in added]
    rows += [_ups(design, ups) for ups in design.site.upses]
    return ReportTable("supplies", columns, tuple(rows))


def _of_the_site(design: Design, supply: Supply, doors: list[DoorDesign]) -> tuple[Cell, ...]:
    at = f"opening {supply.opening}" if supply.opening else design.labels.closet_of(supply.closet)
    return _row(design, supply.id, supply.part, f"closet {at}" if supply.closet else at, doors, supply.on_battery)


def _ups(design: Design, ups: Ups) -> tuple[Cell, ...]:
    """A UPS with the doors whose switches stand on it; it gives mains voltage, and no rating of it is stated."""
    switches = {switch.id for switch in design.site.switches if switch.ups == ups.id}
    marks = " ".join(d.mark for d in design.doors if d.placement is not None and d.placement.switch in switches)
    capacity = f"{ups.battery_wh:g} Wh" if ups.battery_wh else f"{ups.battery_ah:g} Ah" if ups.battery_ah else ""
    part = ", ".join(filter(None, ("UPS", ups.name, capacity)))
    return (ups.id, part, f"closet {design.labels.closet_of(ups.closet)}", None, None, None, marks, "yes")


def _to_be_added(design: Design, door: DoorDesign) -> tuple[Cell, ...]:
    circuit = door.wiring.circuit
    part = circuit.netlist.component(circuit.supply.partition(".")[0]).part if circuit and circuit.supply else ""
    return _row(design, "to be added", part, f"opening {door.mark}", [door], None)


def _row(
    design: Design, name: str, part_id: str, at: str, doors: list[DoorDesign], on_battery: bool | None
) -> tuple[Cell, ...]:
    part = design.site.part.get(part_id)
    volts, rated_a, battery = (
        (part.output_v, part.output_a, bool(part.battery_ah)) if isinstance(part, DcSupply) else (None, None, False)
    )
    on_battery = battery if on_battery is None else on_battery
    marks = " ".join(door.mark for door in doors)
    return (name, part_id, at, volts, rated_a, _load_a(doors), marks, "yes" if on_battery else "no")


def _load_a(doors: list[DoorDesign]) -> float | str:
    """The most that all doors can draw together; where that of one is unknown, so is the sum."""
    loads = [door.wiring.voltages.supply_a for door in doors]
    known = [load_a for load_a in loads if load_a is not None]
    return round(sum(known), 3) if len(known) == len(loads) else "not known"
