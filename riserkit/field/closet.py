"""The packet of a closet: patching, what is measured at its ports, supplies, UPSes and batteries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Final

from riserkit.as_built.equipment import supply_lines
from riserkit.design import Design
from riserkit.drawings.door.notes import cautions
from riserkit.drawings.door.readings import expected_text
from riserkit.field.about import FieldWork
from riserkit.field.blocks import FactList, PaperBlock, PaperHeading, Paragraph
from riserkit.field.door import signed
from riserkit.field.paper import Paper
from riserkit.field.table import NO_BOX, WorkColumn, WorkTable
from riserkit.holds import HOLD
from riserkit.model.parts import DcSupply
from riserkit.model.place import Closet
from riserkit.model.power import Supply
from riserkit.network.placement import held_ports
from riserkit.quantities.printed import format_length
from riserkit.reports.schedules.equipment import switch_ports_table
from riserkit.wiring.cables import CableKind

_EMPTY: Final = ("free", "uplink")
_PORT_METER: Final = "port's page at the switch"


def closet_paper(work: FieldWork, closet: Closet) -> Paper:
    """The packet of one closet of the site."""
    label = work.design.labels.closet_of(closet.id)
    title = f"Closet packet: {closet.name}" if closet.name else "Closet packet"
    return work.paper(f"Closet {label}", title, tuple(_blocks(work, closet)))


def _blocks(work: FieldWork, closet: Closet) -> Iterator[PaperBlock]:
    design = work.design
    doors = design.doors_of_closet[closet.id]
    switches = [s for s in design.site.switches if s.closet == closet.id]
    yield FactList(
        (
            ("Closet", f"{design.labels.closet_of(closet.id)} ({closet.id})"),
            ("Level", design.site.level_name(closet.level)),
            ("Switches", ", ".join(_switch_words(design, s.id) for s in switches) or "none"),
            ("Doors", f"{len(doors)}: {', '.join(door.mark for door in doors)}" if doors else "none"),
        )
    )
    yield PaperHeading("Cautions")
    yield from (Paragraph(text, number=f"{n}.") for n, text in enumerate(cautions(design), 1))
    yield PaperHeading("Before work")
    yield Paragraph("Ports off until each door's packet is signed; supplies off, batteries off.", ticked=True)
    yield Paragraph("This packet is of the latest revision: its check number is the one in the office.", ticked=True)
    yield _patching(work, closet)
    yield _other_cables(work, closet)
    yield _port_readings(work, closet)
    held = [door.mark for door in doors if door.mark in work.holds]
    if held:
        yield Paragraph(f"{HOLD}, nothing is measured at the ports of: {', '.join(held)}.")
    yield _supplies(work, closet)
    yield from (Paragraph(text, ticked=True) for text in _minus_tests(work.design, closet))
    yield _batteries(work, closet)
    yield from signed()


def _switch_words(design: Design, switch_id: str) -> str:
    switch = design.site.switch[switch_id]
    label = design.labels.switch_of(switch_id)
    return f"{label} ({', '.join(filter(None, (switch_id, switch.name)))})"


def _patching(work: FieldWork, closet: Closet) -> WorkTable:
    """Every port of the closet's switches, free ones too: a cord in a free port is a mistake."""
    switches = {s.id for s in work.design.site.switches if s.closet == closet.id}
    rows = []
    gone, issued = held_ports(work.design.site), _issued_cables(work.design)
    table = switch_ports_table(work.design, work.holds)
    for (_, switch, port, label, poe_class, opening, cable, _), held in zip(table.rows, table.held, strict=True):
        if switch in switches:
            marks = str(opening)
            note = "HOLD: leave the port off" if held else ""
            number = f"{label or f'{switch}:{port}'}"
            is_empty = marks in _EMPTY
            note = note or ("no cord here" if marks == "free" else "")
            mark = gone.get((str(switch), int(str(port))), "") if not cable else ""
            if mark:
                note = f"take off the cord{f'; cable {issued[mark]} may still be here' if mark in issued else ''}"
            box = NO_BOX if is_empty or held or mark else ""
            rows.append((number, "" if is_empty else f"{cable}", marks, f"class {poe_class}", box, note))
    columns = (
        WorkColumn("Port", leads=True), WorkColumn("Cable", leads=True), WorkColumn("Opening", max_mm=40),
        WorkColumn("PoE"), WorkColumn("Patched, labelled", "tick", max_mm=24), WorkColumn("Note", max_mm=44),
    )  # fmt: skip
    return WorkTable("Patching", columns, tuple(rows))


def _issued_cables(design: Design) -> Mapping[str, str]:
    """By opening the label on record of its PoE cable."""
    return {one.subject: one.label for one in design.site.issued_labels if one.kind == "cable" and not one.void}


def _other_cables(work: FieldWork, closet: Closet) -> WorkTable:
    """Backbone and lock power that end here; that of a door on HOLD is not landed."""
    design = work.design
    units, rows = design.site.info.unit_system, []
    names = design.labels.closet
    for cable in design.pathway_cables:
        supply = design.site.supply.get(cable.from_id)
        at = {cable.from_id, cable.to_id, supply.closet if supply else ""}
        if cable.kind is not CableKind.HORIZONTAL and closet.id in at:
            length = format_length(cable.length_m, units) if cable.length_m else "not known"
            ends = f"{names.get(cable.from_id, cable.from_id)} to {names.get(cable.to_id, cable.to_id)}"
            held = cable.mark in work.holds
            note = (NO_BOX, f"{HOLD}: do not land") if held else ("", "")
            rows.append((cable.label, ends, cable.cable_type, f"{length}, {cable.basis}", *note))
    columns = (
        WorkColumn("Cable", leads=True), WorkColumn("From, to", max_mm=50), WorkColumn("Type", max_mm=40),
        WorkColumn("Length"), WorkColumn("Landed, labelled", "tick", max_mm=26), WorkColumn("Note", max_mm=30),
    )  # fmt: skip
    return WorkTable("Backbone and lock power", columns, tuple(rows))


def _port_readings(work: FieldWork, closet: Closet) -> WorkTable:
    rows = tuple(
        (
            reading.plus,
            door.mark,
            reading.what,
            reading.state,
            expected_text(reading),
            reading.unit.replace("class", ""),
            "",
        )
        for door in work.design.doors_of_closet[closet.id]
        if door.mark in work.tests and door.mark not in work.holds
        for reading in work.tests[door.mark].readings
        if reading.meter == _PORT_METER
    )
    columns = (
        WorkColumn("Port", leads=True), WorkColumn("Opening", leads=True), WorkColumn("Measure", max_mm=36),
        WorkColumn("First", max_mm=30), WorkColumn("Expected", max_mm=34), WorkColumn("Reading", "blank"),
        WorkColumn("In", "tick"),
    )  # fmt: skip
    return WorkTable("At the switch, door by door", columns, rows)


def _supplies(work: FieldWork, closet: Closet) -> WorkTable:
    rows = tuple(
        (s.id, work.design.site.part_title(s.part), *cells)
        for s in work.design.site.supplies
        if s.closet == closet.id
        for cells in _supply_readings(work.design, s)
    )
    columns = (
        WorkColumn("Supply", leads=True), WorkColumn("Part", leads=True, max_mm=40), WorkColumn("Measure", max_mm=44),
        WorkColumn("Expected", max_mm=36), WorkColumn("Reading", "blank"), WorkColumn("In", "tick"),
    )  # fmt: skip
    return WorkTable("DC supplies", columns, rows)


def _minus_tests(design: Design, closet: Closet) -> Iterator[str]:
    """For each two supplies here: whether the meter finds their minus terminals joined."""
    for one, other in combinations([s for s in design.site.supplies if s.closet == closet.id], 2):
        between = f"Mains off, batteries off: ohms from minus of {one.id} to minus of {other.id}"
        if one.is_joined_to(other):
            yield f"{between}: joined, below 1 Ω at the bar. Confirm that both are listed for it."
        elif one.minus_joined and other.minus_joined:
            yield f"{between}: open. If they are joined, on earth or through a door's wires, find where before mains are on."
        else:
            yield f"{between}: write down joined or open. Which is intended is not stated."


def _supply_readings(design: Design, supply: Supply) -> Iterator[tuple[str, str, str, str]]:
    for line in supply_lines(design, supply):
        known = line.low is not None or line.high is not None
        yield line.what, expected_text(line.reading) if known else "not stated", line.unit, ""


def _batteries(work: FieldWork, closet: Closet) -> WorkTable:
    """Batteries of supplies and UPSes here, with what is read off them; what is not stated says so."""
    site, rows = work.design.site, []
    for supply in site.supplies:
        part = site.part.get(supply.part)
        if supply.closet == closet.id and isinstance(part, DcSupply) and (part.battery_ah or supply.on_battery):
            size = f"{part.battery_ah:g} Ah" if part.battery_ah else "capacity not stated"
            rows.append((supply.id, size, _hours(supply.standby_hours, site.info.standby_hours), "V", "", ""))
    for ups in site.upses:
        if ups.closet == closet.id:
            size = f"{ups.battery_wh:g} Wh" if ups.battery_wh else f"{ups.battery_ah:g} Ah" if ups.battery_ah else ""
            rows.append(
                (ups.id, size or "capacity not stated", _hours(ups.standby_hours, site.info.standby_hours), "V", "", "")
            )
    columns = (
        WorkColumn("At", leads=True), WorkColumn("Battery", leads=True), WorkColumn("Holds its doors for", max_mm=34),
        WorkColumn("Volts, charger off", "blank"), WorkColumn("Made in (date code)", "blank"),
        WorkColumn("Connected, polarity checked", "tick", max_mm=30),
    )  # fmt: skip
    return WorkTable("Batteries", columns, tuple(rows))


def _hours(own: float | None, of_site: float | None) -> str:
    asked = of_site if own is None else own
    return "not stated" if asked is None else f"{asked:g} h"
