"""Tables and notes of a typical: what its doors share once, what differs in a row for each of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from riserkit.checked import Checked
from riserkit.circuits.netlist import Cable
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.door.notes import notes_beside_others
from riserkit.drawings.door.opening_words import hardware_words
from riserkit.drawings.door.tables import TEXT_MM, cable_keys, port_label
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.values import ElevationDevice, OpeningShape
from riserkit.drawings.setting.scale import length_text
from riserkit.drawings.setting.table import PADDING_MM, SLACK, Table, TableColumn, columns_of
from riserkit.drawings.typical.gather import Typical, agreed
from riserkit.findings import Finding, Severity, Verdict
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import UnitSystem, format_length

Devices = tuple[ElevationDevice, ...]

_NOT_KNOWN: Final = "not known"
_NOT_STATED: Final = "not stated"
_LETTERS: Final = {Severity.ERROR: "E", Severity.WARNING: "W", Severity.NOTE: "N"}
_NAMES: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
IN_TABLE: Final = "see table"
MOST_WIDTH_MM: Final = 385.0
_BROKEN_MM: Final[Mapping[str, float]] = {
    "Hold": 60.0,
    "Name": 32.0,
    "Remarks": 60.0,
    "Hardware": 40.0,
    "Level": 28.0,
    "Opening": 34.0,
    "Why": 60.0,
    "Fails": 60.0,
}
"""Columns that may break between words, with the width at which they do."""
_ALWAYS: Final = ("data", "lock")


def open_letters(findings: Sequence[Finding]) -> str:
    """How many errors E, warnings W and notes N are open.

    Examples:
        >>> open_letters([])
        'none'
    """
    shown = [f.severity for f in findings if f.is_open and f.verdict is not Verdict.PASS]
    counted = [f"{letter}{shown.count(severity)}" for severity, letter in _LETTERS.items() if severity in shown]
    return " ".join(counted) or "none"


def cable_rows(design: Design, typical: Typical) -> Table:
    """Each cable once: type, what it serves, and its length where all openings agree on it."""
    lengths = _lengths(design, typical)
    rows = tuple(
        (c.ref, c.role, c.cable_type, _shared_length(lengths, c), "yes" if c.exposed else "no")
        for c in typical.netlist.cables
    )
    columns = (
        TableColumn("Cable"),
        TableColumn("For"),
        TableColumn("Type"),
        TableColumn("Length", align="right"),
        TableColumn("Accessible"),
    )
    return Table("Cables, labelled MARK-W1 on", columns, rows, keys=cable_keys(typical.netlist))


def _lengths(design: Design, typical: Typical) -> Mapping[str, tuple[str, ...]]:
    """As printed, by cable, in the order of the doors."""
    units, found = design.site.info.unit_system, dict[str, list[str]]()
    for door in typical.doors:
        for cable in door.wiring.netlist.cables if door.wiring.netlist else ():
            found.setdefault(cable.ref, []).append(format_length(cable.length_m, units))
    return {ref: tuple(lengths) for ref, lengths in found.items()}


def _shared_length(lengths: Mapping[str, Sequence[str]], cable: Cable) -> str:
    return IN_TABLE if cable.role in _ALWAYS else agreed(lengths[cable.ref]) or IN_TABLE


def instance_table(checked: Checked, typical: Typical) -> Table:
    """A row for each opening: where it is, what it is fed from, its lengths, its volts at the lock, what is open."""
    design, holds, findings = checked.design, checked.holds, checked.findings_of
    held = [holds.words(d.mark) for d in typical.doors]
    columns: dict[str, Sequence[str]] = {
        "Mark": [d.mark for d in typical.doors],
        **({"Hold": held} if any(held) else {}),
        "Name": [d.opening.name for d in typical.doors],
        "Level": [design.site.level_name(d.opening.level) for d in typical.doors],
    }
    remarks = [d.opening.remarks for d in typical.doors]
    if any(remarks):
        columns["Remarks"] = remarks
    hardware = [hardware_words(d.opening) for d in typical.doors]
    if agreed(hardware) is None:
        columns["Hardware"] = hardware
    columns |= _opening_columns(design, typical)
    columns["Port"] = [port_label(design, d) for d in typical.doors]
    columns["PoE cable"] = [d.cable.label if d.cable and d.cable.label else _NOT_KNOWN for d in typical.doors]
    columns["Channel"] = [_channel(design, d) for d in typical.doors]
    lengths = _lengths(design, typical)
    for cable in typical.netlist.cables:
        if _shared_length(lengths, cable) == IN_TABLE:
            columns[f"{cable.ref} {cable.role}"] = lengths[cable.ref]
    supplies = [d.wiring.drawn.supply_id if d.wiring.drawn else "" for d in typical.doors]
    if any(supplies):
        columns["Supply"] = supplies
    columns["Lock V low"] = [_volts(d.wiring.voltages.lock_low_v) for d in typical.doors]
    columns["Lock V high"] = [_volts(d.wiring.voltages.lock_high_v) for d in typical.doors]
    if not typical.feasible and not shared_failure(typical):
        columns["Fails"] = [_fails(d) for d in typical.doors]
    notes = _some(design, typical)
    if notes:
        columns["Notes"] = [_note_letters(d, notes) for d in typical.doors]
    columns["Open"] = [open_letters(findings.get(d.mark, ())) for d in typical.doors]
    kept = {name: cells for name, cells in columns.items() if name != "Name" or any(cells)}
    title = f"{typical.sheet_id}: {counted(len(typical.doors), 'opening')}"
    rows = tuple(zip(*kept.values(), strict=True))
    return Table(
        title, columns_of(tuple(kept)), rows, held=tuple(d.mark in holds for d in typical.doors), name="instances"
    )


def unsettled_table(checked: Checked, doors: Sequence[DoorDesign]) -> Table:
    """Openings that stand on no typical, with the reason."""
    design, holds, findings = checked.design, checked.holds, checked.findings_of
    rows = tuple(
        (
            d.mark,
            holds.words(d.mark),
            d.opening.name,
            design.site.level_name(d.opening.level),
            _why(d),
            open_letters(findings.get(d.mark, ())),
        )
        for d in doors
    )
    title = "HOLD: on no typical, see own sheets and findings"
    columns = columns_of(("Mark", "Hold", "Name", "Level", "Why", "Open"))
    return Table(title, columns, rows, held=tuple(d.mark in holds for d in doors), name="unsettled")


def _why(door: DoorDesign) -> str:
    if door.wiring.missing:
        return f"data missing: {', '.join(door.wiring.missing)}"
    return "no arrangement can be drawn"


def block_table(table: Table) -> Table:
    """A schedule as a table to be packed on a sheet. Only names and reasons break, and those between words."""
    widths = [_width_mm(header, [row[n] for row in table.rows]) for n, header in enumerate(table.headers)]
    if sum(widths) > MOST_WIDTH_MM:
        return replace(table, columns=tuple(replace(column, max_width_mm=48.0) for column in table.columns))
    return replace(table, columns=columns_of(table.headers, widths))


def _width_mm(header: str, cells: Sequence[str]) -> float:
    words = [*header.split(), *(word for cell in cells for word in cell.split())]
    least = max((text_width_mm(word, TEXT_MM) for word in words), default=0.0)
    whole = max((text_width_mm(cell, TEXT_MM) for cell in cells), default=0.0)
    wanted = min(whole, _BROKEN_MM[header]) if header in _BROKEN_MM else whole
    return max(least, wanted) * SLACK + 2 * PADDING_MM + 0.2


def shared_shape(design: Design, doors: Sequence[DoorDesign]) -> OpeningShape | None:
    """The opening that all doors have, hung as the first of them and under the lowest ceiling; None where sizes or kinds differ.

    A door hung on the other side is the mirror image; `hands` tells whether there are any.
    """
    shapes = [opening_shape(door.opening, design.site) for door in doors]
    ceilings_m = [shape.ceiling_m for shape in shapes if shape.ceiling_m is not None]
    lowest_m = min(ceilings_m) if len(ceilings_m) == len(shapes) else None
    alike = [replace(shape, hinges=shapes[0].hinges) for shape in shapes]
    return agreed(shape if lowest_m is None else replace(shape, ceiling_m=lowest_m) for shape in alike)


def hands(doors: Sequence[DoorDesign]) -> tuple[str, ...]:
    """Where each door's hinges are, seen from the unsecured side; empty where all have them on one side, or have two leaves."""
    told = tuple("" if d.opening.leaves > 1 else d.opening.hinges or _NOT_STATED for d in doors)
    return () if agreed(told) is not None else told


def shared_devices(design: Design, doors: Sequence[DoorDesign], shape: OpeningShape) -> Devices | None:
    """The devices of an elevation that all doors agree on; None where a height differs."""
    return agreed(elevation_devices(door, design.site, shape) for door in doors)


def _opening_columns(design: Design, typical: Typical) -> dict[str, Sequence[str]]:
    """What of the openings themselves is not the same for all: size and hand, ceiling, heights of devices."""
    site, units, doors = design.site, design.site.info.unit_system, typical.doors
    shapes = [opening_shape(d.opening, site) for d in doors]
    found: dict[str, Sequence[str]] = {}
    if shared_shape(design, doors) is None:
        found["Opening"] = [_opening_text(shape, units) for shape in shapes]
    elif hung := hands(doors):
        found["Hinges"] = hung
    ceilings = [_NOT_KNOWN if s.ceiling_m is None else length_text(s.ceiling_m, units) for s in shapes]
    if agreed(ceilings) is None:
        found["Ceiling"] = ceilings
    pairs = zip(doors, shapes, strict=True)
    heights = [{d.ref: d.height_m for d in elevation_devices(door, site, shape)} for door, shape in pairs]
    for ref in heights[0]:
        told = ["" if (h := of.get(ref)) is None else length_text(h, units) for of in heights]
        if agreed(told) is None:
            found[f"{ref} height"] = told
    return found


def _opening_text(shape: OpeningShape, units: UnitSystem) -> str:
    size = f"{length_text(shape.width_m, units)} × {length_text(shape.height_m, units)}"
    # of two leaves each has its hinges at its own side
    return f"{shape.type} {size}" if shape.type == "double" else f"{shape.type} {size}, hinges {shape.hinges}"


def _channel(design: Design, door: DoorDesign) -> str:
    return format_length(door.link.length_m, design.site.info.unit_system) if door.link else _NOT_KNOWN


def _volts(value_v: float | None) -> str:
    return _NOT_KNOWN if value_v is None else f"{value_v:.2f}"


def shared_failure(typical: Typical) -> str:
    """What fails at all openings, in the same words and by the same numbers; empty when nothing does or they differ."""
    return "" if typical.feasible else agreed(map(_fails, typical.doors)) or ""


def _fails(door: DoorDesign) -> str:
    drawn = door.wiring.drawn
    return "; ".join(reason.text for reason in drawn.failed) if drawn else ""


def _limits(typical: Typical) -> tuple[str, ...]:
    """What the volts in the table were held to, where it is the same for all."""
    told = agreed(tuple(_volt_limits(door)) for door in typical.doors)
    return told or ()


def _volt_limits(door: DoorDesign) -> Iterator[str]:
    for reason in door.wiring.drawn.reasons if door.wiring.drawn else ():
        if reason.unit == "V" and reason.limit is not None:
            yield f"{reason.what} {'at most' if reason.at_most else 'at least'} {reason.limit:.2f} V"


def _own_notes(design: Design, typical: Typical) -> dict[str, tuple[str, ...]]:
    return {door.mark: notes_beside_others(design, door) for door in typical.doors}


def _some(design: Design, typical: Typical) -> dict[str, frozenset[str]]:
    """Notes that hold for some of the openings, with the marks of those, in the order they are met."""
    own, found = _own_notes(design, typical), dict[str, set[str]]()
    for mark, notes in own.items():
        for note in notes:
            found.setdefault(note, set()).add(mark)
    return {note: frozenset(marks) for note, marks in found.items() if len(marks) < len(own)}


def _note_letters(door: DoorDesign, notes: Mapping[str, frozenset[str]]) -> str:
    return " ".join(_letter(n) for n, marks in enumerate(notes.values()) if door.mark in marks)


def _letter(n: int) -> str:
    """A, B … Z, then AA, AB …."""
    return _NAMES[n] if n < len(_NAMES) else f"{_NAMES[n // len(_NAMES) - 1]}{_NAMES[n % len(_NAMES)]}"


def typical_notes(design: Design, typical: Typical, *, elevation: bool) -> tuple[str, ...]:
    """How to read the typical; what holds for all; what holds for those whose row in the table has the note's letter."""
    some = _some(design, typical)
    first = typical.doors[0]
    shared = [note for note in _own_notes(design, typical)[first.mark] if note not in some]
    reading = [
        f"One detail for {len(typical.doors)} openings that are wired alike; the table has what differs.",
        f"A cable's label is the opening's mark and the cable's designation: {first.mark}-W2 is W2 at opening "
        f"{first.mark}. The PoE cable carries the label in the table. Channel: PoE cable with cords.",
        "Open: findings that nobody has accepted, E errors, W warnings, N notes; the list of findings has each. "
        "An opening's own sheet, where drawn, is T-501 and its mark.",
    ]
    if len(typical.doors) == 1:
        reading[0] = f"Only opening {first.mark} is wired so."
    hardware = agreed(hardware_words(d.opening) for d in typical.doors)
    if hardware is not None:
        reading.append(
            f"Hardware of {'every opening of the table' if len(typical.doors) > 1 else first.mark}: {hardware}."
        )
    failure = shared_failure(typical)
    if failure:
        reading.append(f"Fails at every opening of the table: {failure}.")
    limits = _limits(typical)
    if limits:
        reading.append(f"Limits: {'; '.join(limits)}.")
    ceilings_m = {opening_shape(d.opening, design.site).ceiling_m for d in typical.doors}
    if not elevation:
        reading.append("No elevation: sizes or heights of devices differ; the table has them.")
    elif len(ceilings_m) > 1:
        reading.append("The elevation is drawn under the lowest of the ceilings; the table has each.")
    if elevation:
        reading += _hung(opening_shape(first.opening, design.site).hinges, typical)
    lettered = [f"Where the table says {_letter(n)}: {note}" for n, note in enumerate(some)]
    return (*reading, *shared, *lettered)


def _hung(drawn: str, typical: Typical) -> Iterator[str]:
    """What the elevation takes the hand of its doors to be, where they differ or nobody has stated it."""
    other = "right" if drawn == "left" else "left"
    told = f"The elevation has the hinges on the {drawn}"
    if other in hands(typical.doors):
        yield (
            f"{told}; where the table says {other} the door is its mirror image, and so are the places of its devices."
        )
    elif not all(door.opening.hinges for door in typical.doors if door.opening.leaves == 1):
        yield f"{told}."
