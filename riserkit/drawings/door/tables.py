"""Rows of the tables on a door's sheet: what is printed, read off the design and the findings; nothing is computed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from riserkit.acceptances import accepted_text
from riserkit.circuits.netlist import Cable, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.devices import drawn_devices
from riserkit.drawings.door.opening_words import hand_words, hardware_words
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.values import ElevationDevice
from riserkit.drawings.setting.scale import length_text
from riserkit.drawings.setting.table import PADDING_MM, SLACK, Align, Table, TableColumn
from riserkit.findings import AT_A_DOOR, Finding, Severity, Verdict, at_openings, by_harm
from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.book import Unproven
from riserkit.proofs.sentences import CAUTION, lock_state_words, proof_line
from riserkit.quantities.printed import UnitSystem, format_length, format_pair, format_value, upper_first
from riserkit.wiring.reason import Reason

Cells = tuple[str, ...]
TEXT_MM: Final = 2.5
_NONE: Final = "not known"
_RESULTS: Final = {True: "pass", False: "FAIL", None: "not evaluated"}


def cable_label(door: DoorDesign, cable: Cable | None) -> str:
    """What is written on a cable at the door: its issued label for the PoE cable, else mark and designation."""
    if cable is None:
        return "lead"
    if cable.role == "data" and door.cable is not None and door.cable.label:
        return door.cable.label
    return f"{door.mark}-{cable.ref}"


def _solid(header: str, n: int, rows: Sequence[Cells], align: Align = "left") -> TableColumn:
    """A column whose cells never break: a gauge or a length in two lines reads as two things."""
    widest = max(text_width_mm(text, TEXT_MM) for text in (header, *(row[n] for row in rows)))
    return TableColumn(header, widest * SLACK + 2 * PADDING_MM + 0.2, align=align)


def conductor_table(door: DoorDesign | None, netlist: Netlist, unit_system: UnitSystem) -> Table:
    """Every conductor from terminal to terminal; without a door, cables by designation alone and no lengths."""
    cables = {c.ref: c for c in netlist.cables}
    rows = []
    for c in netlist.conductors:
        cable = cables.get(c.cable)
        label = c.cable if door is None else cable_label(door, cable)
        length = (format_length(cable.length_m, unit_system) if cable else "",) if door else ()
        rows.append(
            (c.ref, f"{c.a.component} {c.a.terminal}", f"{c.b.component} {c.b.terminal}",
             label if cable else (c.note or "lead"), c.colour, c.gauge, *length)
        )  # fmt: skip
    columns = (
        _solid("No.", 0, rows), _solid("From", 1, rows), _solid("To", 2, rows), TableColumn("Cable, or note", max_width_mm=36),
        _solid("Colour", 4, rows), _solid("Gauge", 5, rows), *((_solid("Length", 6, rows, "right"),) if door else ()),
    )  # fmt: skip
    return Table("Conductors", columns, tuple(rows), keys=tuple(f"{c.a} {c.b}" for c in netlist.conductors))


def cable_table(door: DoorDesign, netlist: Netlist, unit_system: UnitSystem) -> Table:
    """Every cable at the door: label, type, length and how the length is known."""
    rows = []
    for cable in netlist.cables:
        rows.append(
            (cable.ref, cable_label(door, cable), cable.cable_type, cable.stranding or "not stated",
             format_length(cable.length_m, unit_system), cable.length_basis, "yes" if cable.exposed else "no")
        )  # fmt: skip
    columns = (
        _solid("Cable", 0, rows), TableColumn("Label", max_width_mm=40), TableColumn("Type"), _solid("Copper", 3, rows),
        _solid("Length", 4, rows, "right"), _solid("Basis", 5, rows), TableColumn("Accessible"),
    )  # fmt: skip
    return Table("Cables", columns, tuple(rows), keys=cable_keys(netlist))


def spare_table(netlist: Netlist) -> Table:
    """Conductors that land nowhere, by cable."""
    cables = list(dict.fromkeys(s.cable for s in netlist.spares))
    rows = tuple((ref, " ".join(s.colour for s in netlist.spares if s.cable == ref)) for ref in cables)
    columns = (TableColumn("Cable"), TableColumn("Insulate each by itself, both ends", max_width_mm=60))
    keys = dict(zip((c.ref for c in netlist.cables), cable_keys(netlist), strict=True))
    return Table("Spare conductors", columns, rows, keys=tuple(keys[ref] for ref in cables))


def cable_keys(netlist: Netlist) -> tuple[str, ...]:
    """What each cable is known by whatever its number: what it serves, and between which devices."""
    return tuple(f"{cable.role} {' '.join(sorted(netlist.places(cable.ref)))}" for cable in netlist.cables)


def device_table(devices: tuple[ElevationDevice, ...], unit_system: UnitSystem) -> Table:
    """Key to the elevation."""
    rows = []
    for device, where in drawn_devices(devices):
        height = "" if device.height_m is None else length_text(device.height_m, unit_system)
        basis = device.basis if device.height_m is not None else ""
        rows.append((device.ref, device.title, where, height, basis))
    unit = "mm" if unit_system == "metric" else "ft-in"
    columns = (
        TableColumn("Ref."), TableColumn("Device", max_width_mm=46), TableColumn("Where"), TableColumn(f"Height {unit}", align="right"),
        _solid("Basis", 4, rows),
    )  # fmt: skip
    return Table("Devices, heights of centres", columns, tuple(rows))


def calculation_table(design: Design, door: DoorDesign) -> Table:
    """What was computed against its limit: lock volts and amperes, outputs, power over the PoE cable, lengths."""
    unit_system: UnitSystem = design.site.info.unit_system
    candidate = door.wiring.drawn
    rows = [_reason_row(r, unit_system) for r in (candidate.reasons if candidate else ()) if r.unit]
    rows += list(_link_rows(door, unit_system))
    columns = (TableColumn("What", max_width_mm=52), _solid("Value", 1, rows, "right"), _solid("Limit", 2, rows, "right"),
               _solid("Result", 3, rows))  # fmt: skip
    return Table("Calculation", columns, tuple(rows))


def _reason_row(reason: Reason, unit_system: UnitSystem) -> Cells:
    what = upper_first(reason.what)
    result = _RESULTS[reason.passed]
    if reason.value is not None and reason.limit is not None:
        value, limit = format_pair(reason.value, reason.limit, reason.unit, unit_system)
        return what, value, f"{'≤' if reason.at_most else '≥'} {limit}", result
    value = reason.why or _NONE if reason.value is None else format_value(reason.value, reason.unit, unit_system)
    limit = _NONE if reason.limit is None else format_value(reason.limit, reason.unit, unit_system)
    return what, value, limit, result


def _link_rows(door: DoorDesign, unit_system: UnitSystem) -> Iterator[Cells]:
    if door.link is not None:
        link = door.link
        asked = "not known" if link.device_class is None else str(link.device_class)
        yield "PoE class of port; of device", f"{link.poe_class}; {asked}", "", ""
        need = _NONE if link.pd_need_w is None else format_value(link.pd_need_w, "W")
        yield "Power needed; arriving at device", need, f"≤ {format_value(link.pd_limit_w, 'W')}", ""
        yield "Channel with cords", format_length(link.length_m, unit_system), "", ""
    route = door.cable.route if door.cable else None
    length = _NONE if route is None else f"{format_length(route.length_m, unit_system)}"
    yield "Permanent link", length, "", "no way found" if route is None else str(route.basis)


def port_label(design: Design, door: DoorDesign) -> str:
    """The switch port of an opening as labelled; says so when it has none."""
    placement = door.placement
    if placement is None or not placement.switch:
        return "no free port"
    name = f"{placement.switch}:{placement.port}"
    return design.labels.port.get(name, name)


def opening_table(design: Design, door: DoorDesign) -> Table:
    """The opening in plain facts."""
    opening, placement = door.opening, door.placement
    closet = "none" if placement is None else design.labels.closet_of(placement.closet)
    port = port_label(design, door)
    rows = [
        ("Level", design.site.level_name(opening.level)),
        ("Hand", hand_words(opening)),
        ("Unsecured side", opening.unsecured_side or "not stated"),
        ("Secured side", opening.secured_side or "not stated"),
        ("Without power", opening.fail_mode or ("as the lock" if opening.lock else "not stated")),
        ("Egress", _egress(opening)),
        ("Hardware", hardware_words(opening)),
        # a port's label begins with that of its closet
        *([] if port.startswith(f"{closet}.") else [("Closet", closet)]),
        ("Switch port", port),
    ]
    if opening.remarks.strip():
        rows.append(("Remarks", opening.remarks))
    return Table("Opening", (TableColumn("Fact"), TableColumn("Value", max_width_mm=56)), tuple(rows))


def _egress(opening: Opening) -> str:
    if opening.egress is EgressRole.DELAYED:
        return f"delayed, {'delay not stated' if opening.delay_s is None else format_value(opening.delay_s, 's')}"
    return str(opening.egress) if opening.egress else "not stated"


def findings_of(door: DoorDesign, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings about this opening and its PoE cable, those told of many openings at once among them."""
    return tuple(f for f in at_openings(findings) if f.subject == door.mark and f.subject_kind in AT_A_DOOR)


def finding_table(findings: Sequence[Finding]) -> Table:
    """What is to be done before the door is put in service, by harm; what is accepted stands last, but for life safety.

    Notes, and what a check has measured, are the engineer's and stand in the list of findings; an error, and what was
    not evaluated, says that too.
    """
    failed = (f for f in findings if f.verdict is not Verdict.PASS and _is_shown(f))
    shown = sorted(failed, key=lambda f: (not f.is_life_safety_error, not f.is_open, by_harm(f)))
    rows = tuple((f.rule, _status(f), _finding_text(f)) for f in shown)
    urgent = any(f.is_open and f.severity is Severity.ERROR for f in shown)
    title = "To resolve: errors before work, the rest before handover" if urgent else "To resolve before handover"
    # rule names are kept whole where they can be: a name broken at a hyphen is hard to look up
    check_mm = min(40.0, max([text_width_mm(f.rule, TEXT_MM) for f in shown], default=0.0) * SLACK + 3.0)
    columns = (
        TableColumn("Check", max(check_mm, 14.0)),
        TableColumn("Status", 24.0),
        TableColumn("To do", max_width_mm=400),
    )
    return Table(title, columns, rows)


def _is_shown(finding: Finding) -> bool:
    return finding.severity is not Severity.NOTE or finding.acceptance is not None


def _status(finding: Finding) -> str:
    if finding.acceptance is not None:
        return "ACCEPTED, life safety" if finding.is_life_safety_error else "accepted"
    if finding.verdict is Verdict.NOT_EVALUATED:
        return f"{finding.severity}, not evaluated"
    return str(finding.severity)


def _finding_text(finding: Finding) -> str:
    # of what was not evaluated only its message tells what is to be looked into
    is_open_question = finding.verdict is Verdict.NOT_EVALUATED
    is_told = is_open_question or finding.severity is Severity.ERROR or finding.acceptance or not finding.remedy
    text = f"{finding.message} {finding.remedy}".strip() if is_told else finding.remedy
    if finding.acceptance is not None:
        text += f" {accepted_text(finding.acceptance)}"
    return text


def proof_paragraphs(door: DoorDesign) -> tuple[str, ...]:
    """The proof line, or why nothing is proven, and the caution."""
    return proof_line(door.proof), CAUTION


def truth_table_text(door: DoorDesign) -> Table | None:
    """State against lock in the sound circuit; None where nothing is proven."""
    proof = door.proof
    if isinstance(proof, Unproven) or not proof.topology.table:
        return None
    rows = tuple((", ".join(row.state), lock_state_words(row, door.opening)) for row in proof.topology.table)
    columns = (TableColumn("State", max_width_mm=110), TableColumn("Lock"))
    return Table("Lock in each state", columns, rows)
