"""The packet of a door: what a crew wires, tests and signs for it, in the order of work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Cable, Conductor, Netlist
from riserkit.design import DoorDesign
from riserkit.drawings.door.detail import door_banner
from riserkit.drawings.door.devices import labelled
from riserkit.drawings.door.notes import READING, cautions
from riserkit.drawings.door.opening_words import hand_words, hardware_words, size_words
from riserkit.drawings.door.tables import cable_label
from riserkit.field.about import FieldWork
from riserkit.field.blocks import FactList, Notice, PaperBlock, PaperHeading, Paragraph, Signature
from riserkit.field.door_tests import tests_of
from riserkit.field.form import PaperForm
from riserkit.field.paper import Paper
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.field.tools import tools_for
from riserkit.field.wiring import wiring_pictures
from riserkit.quantities.printed import UnitSystem, format_length
from riserkit.reports.materials.site import door_materials, not_counted
from riserkit.reports.materials.values import METRES
from riserkit.standards.sheets import door_sheet_id
from riserkit.wiring.roles import DeviceRole

SIGNED: Final = (
    "Tester", "Instrument", "Serial, calibrated", "Date", "Signature", "Paper check",
)  # fmt: skip
NOT_DONE: Final = "Not done, or done otherwise: what, where, why."
TO_READ: Final = (
    "To read only: take, pull, land and energise nothing for this door until a packet without this notice is issued."
)


def door_paper(work: FieldWork, door: DoorDesign, form: PaperForm) -> Paper:
    """The packet of one door.

    Args:
        work: the site.
        door: the opening, one of its design.
        form: the page, for which pictures are laid out.
    """
    info, revision = work.design.site.info, work.revision_of(door)
    banner = door_banner(work.design, door, work.findings_of.get(door.mark, ()))
    blocks: list[PaperBlock] = []
    if banner is not None:
        blocks.append(Notice(banner.heading, banner.words))
    if revision.changed:
        told = f"Changed: {', '.join(revision.changed)}. Ask for an issued packet before work."
        blocks.append(Notice(f"CHANGED SINCE REVISION {revision.letter}", told))
    if banner is None and (first := work.holds.first.get(door.mark)):
        reasons = dict.fromkeys(f"{finding.message} {finding.remedy}".strip() for finding in first)
        blocks.append(Notice(work.holds.first_words(door.mark).upper(), " ".join(reasons)))
    accepted = work.holds.accepted_words(door.mark)
    blocks += [Paragraph(f"{accepted}.")] if accepted else []
    if banner is None:
        blocks += [*_blocks(work, door, form, builds=True), *signed()]
    else:
        blocks += [Paragraph(TO_READ), *_to_read(_blocks(work, door, form, builds=False))]
    approved = "" if banner is not None or revision.changed else info.approved_by
    return Paper(
        subject=f"Door {door.mark}",
        title=" ".join(filter(None, ("Door packet:", door.opening.name))).removesuffix(":"),
        project=work.project,
        revision=revision.words,
        status=", ".join(filter(None, (work.status_of(revision), f"sheet {door_sheet_id(door.mark)}"))),
        approved_by=approved,
        blocks=tuple(blocks),
        hold=banner.heading if banner is not None else "",
        code=f"Door {door.mark}; {revision.code}; {work.short_project}",
    )


def signed() -> Iterator[PaperBlock]:
    """Who did and tested it, and what was done otherwise."""
    yield PaperHeading("Signed")
    yield Signature(SIGNED)
    yield Paragraph(NOT_DONE, heads=True)
    yield Signature(("", "", "", ""))


def _to_read(blocks: Iterable[PaperBlock]) -> Iterator[PaperBlock]:
    """Blocks with nothing to tick and nothing to write: who has a packet with boxes ticks them, and builds."""
    for block in blocks:
        if isinstance(block, Paragraph):
            yield replace(block, ticked=False)
        else:
            yield block.to_read if isinstance(block, WorkTable) else block


def _blocks(work: FieldWork, door: DoorDesign, form: PaperForm, *, builds: bool) -> Iterator[PaperBlock]:
    netlist = door.wiring.netlist
    yield FactList(tuple(_facts(work, door)))
    yield PaperHeading("Cautions")
    yield from (Paragraph(text, number=f"{n}.") for n, text in enumerate(cautions(work.design), 1))
    if builds:
        yield PaperHeading("Bring along: tools")
        yield from (Paragraph(text, ticked=True) for text in tools_for(door))
    yield _materials(work, door, "Bring along: parts and consumables" if builds else "Parts and consumables")
    if left_out := not_counted(door):
        yield Paragraph(left_out)
    if netlist is None or not netlist.conductors:
        yield PaperHeading("Wiring")
        yield Paragraph("No wiring is designed for this opening. Do not start; see the findings.")
        return
    shown = labelled(work.design, door, netlist)
    yield _devices(shown)
    yield PaperHeading("Before work")
    yield from (Paragraph(text, ticked=True) for text in _before(work, door, shown))
    yield _cables(work, door, netlist)
    yield PaperHeading("Wiring")
    yield from wiring_pictures(shown, door.mark, form, work.block_folders)
    yield from (Paragraph(text) for text in READING)
    yield _landings(door, netlist)
    yield from _spares(door, netlist)
    yield from tests_of(work, door)


def _facts(work: FieldWork, door: DoorDesign) -> Iterator[tuple[str, str]]:
    design, opening = work.design, door.opening
    units = design.site.info.unit_system
    yield "Opening", ", ".join(filter(None, (f"{design.labels.opening_of(door.mark)}", opening.name)))
    if was := design.site.earlier_mark.get(door.mark):
        yield "Formerly", f"{was}: labels with that number at the door are replaced; PoE cable and port keep theirs"
    yield "Level", design.site.level_name(opening.level)
    yield "Door", size_words(opening, units, unit=True)
    yield "Hand, hardware", f"{hand_words(opening)}; {hardware_words(opening)}"
    yield "Secured side", opening.secured_side or "not stated"
    yield "Unsecured side", opening.unsecured_side or "not stated"
    drawn = door.wiring.drawn
    yield "Wiring", drawn.title if drawn else "none designed"
    if door.placement is not None:
        closet = design.labels.closet_of(door.placement.closet)
        yield "Closet, port", f"{closet}, {design.labels.port_of(door.placement) or 'no free port'}"
    if opening.outdoor:
        yield "Weather", "outdoors: drip loops, dielectric grease, sealant"
    if opening.remarks.strip():
        yield "Remarks", opening.remarks


def _materials(work: FieldWork, door: DoorDesign, title: str) -> WorkTable:
    units = work.design.site.info.unit_system
    rows = tuple(
        (quantity_text(quantity, line.unit, units), line.description, ", ".join(filter(None, (line.item, line.note))))
        for line, quantity in door_materials(work.design, door).items()
    )
    columns = (
        WorkColumn("Quantity", "tick", leads=True, max_mm=34), WorkColumn("Part, cable, consumable", leads=True, max_mm=80),
        WorkColumn("Id, note", max_mm=70),
    )  # fmt: skip
    return WorkTable(title, columns, rows)


def quantity_text(quantity: float, unit: str, units: UnitSystem) -> str:
    """Pieces as a count, cable as a length with its unit."""
    return format_length(quantity, units) if unit == METRES else f"{round(quantity)}"


def _devices(netlist: Netlist) -> WorkTable:
    rows = tuple(
        (c.ref, c.title, f"{c.place}{', accessible from the unsecured side' if c.exposed else ''}")
        for c in netlist.components
    )
    columns = (
        WorkColumn("Device", leads=True),
        WorkColumn("What", leads=True, max_mm=80),
        WorkColumn("Where", max_mm=80),
    )
    return WorkTable("Devices", columns, rows)


def _before(work: FieldWork, door: DoorDesign, netlist: Netlist) -> Iterator[str]:
    port = work.design.labels.port_of(door.placement)
    off = [*([f"port {port}"] if port else []), *power_sources(netlist)]
    if off:
        yield f"Power off and locked off: {'; '.join(off)}. Batteries off."
    yield "This packet is of the latest revision: its check number is the one in the office."
    yield from door.wiring.circuit.notes if door.wiring.circuit is not None else ()
    yield "Every terminal is measured dead before it is touched."


def _cables(work: FieldWork, door: DoorDesign, netlist: Netlist) -> WorkTable:
    units, site = work.design.site.info.unit_system, work.design.site
    rows = tuple(
        (
            cable_label(door, cable), f"{cable.ref}: {' to '.join(netlist.places(cable.ref))}",
            site.cable_type[cable.cable_type].title or cable.cable_type,
            f"{format_length(cable.length_m, units)}, {cable.length_basis}", "", "m" if units == "metric" else "ft",
        )
        for cable in cables_in_order(netlist)
    )  # fmt: skip
    columns = (
        WorkColumn("Cable label", leads=True, max_mm=30), WorkColumn("From, to", max_mm=36), WorkColumn("Type", max_mm=40),
        WorkColumn("Length", max_mm=30), WorkColumn("Pulled, labelled at both ends", "tick", max_mm=26),
        WorkColumn("Length pulled", "blank"),
    )  # fmt: skip
    return WorkTable("Pull and label", columns, rows)


def _landings(door: DoorDesign, netlist: Netlist) -> WorkTable:
    """Every conductor with a box at each end; in a cable it says label and colour, else that it is a lead."""
    cables = {cable.ref: cable for cable in netlist.cables}
    rows = tuple(
        (
            c.ref, cable_label(door, cables.get(c.cable)), " ".join(filter(None, (c.colour, c.gauge))),
            f"{c.a}", f"{c.b}", c.note,
        )
        for c in conductors_in_order(netlist)
    )  # fmt: skip
    columns = (
        WorkColumn("No.", leads=True), WorkColumn("Cable", leads=True, max_mm=34), WorkColumn("Colour, gauge", leads=True),
        WorkColumn("Landed at", "tick"), WorkColumn("and at", "tick"), WorkColumn("Note", max_mm=60),
    )  # fmt: skip
    return WorkTable("Land, in this order", columns, rows)


def _spares(door: DoorDesign, netlist: Netlist) -> Iterator[PaperBlock]:
    cables = {cable.ref: cable for cable in netlist.cables}
    rows = tuple((cable_label(door, cables.get(s.cable)), s.colour, "", "") for s in netlist.spares)
    columns = (
        WorkColumn("Cable", leads=True), WorkColumn("Colour", leads=True), WorkColumn("Insulated at one end", "tick"),
        WorkColumn("Insulated at the other end", "tick"),
    )  # fmt: skip
    yield WorkTable("Spare conductors: cut back and insulate each by itself", columns, rows)


_FIRST: Final = (
    "contact", "lock_contact", "rex", "rex_leaf", "request", "reader", "release", "release_leaf", "relay", "box", "rex_feed", "fire",
    "trigger", "leaf", "lock",
)  # fmt: skip
_LAST: Final = ("supply", "feed", "data_tail", "data")
"""Supply, then the cable of the switch: a terminal is dead until all the others are landed. Common practice, no source."""


def cables_in_order(netlist: Netlist) -> tuple[Cable, ...]:
    """Signals first, then the lock, then whatever else there is, then what brings power."""
    return tuple(sorted(netlist.cables, key=_rank))


def _rank(cable: Cable) -> int:
    if cable.role in _LAST:
        return len(_FIRST) + 1 + _LAST.index(cable.role)
    return _FIRST.index(cable.role) if cable.role in _FIRST else len(_FIRST)


def conductors_in_order(netlist: Netlist) -> Iterator[Conductor]:
    """Leads and jumpers, then conductors cable by cable; each conductor of the netlist once."""
    cables = {cable.ref for cable in netlist.cables}
    yield from (c for c in netlist.conductors if c.cable not in cables)
    for cable in cables_in_order(netlist):
        yield from (c for c in netlist.conductors if c.cable == cable.ref)


def power_sources(netlist: Netlist) -> tuple[str, ...]:
    """Where power is cut before hands go in: supplies by designation and place; the switch port is named by its label."""
    found = netlist.devices(DeviceRole.SUPPLY, DeviceRole.OWN_SUPPLY)
    return tuple(f"{c.ref} {c.title}{f' ({c.place})' if c.place else ''}" for c in found)
