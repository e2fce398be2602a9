"""What to bring along: a materials list for each door, and one for the site that is their sum with the backbone."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.holds import DO_NOT_ORDER, HOLD, NO_HOLDS, Holds
from riserkit.network.values import CableRun
from riserkit.quantities.printed import UnitSystem
from riserkit.reports.lengths import FT_M, length_cell, length_column
from riserkit.reports.materials.between import closet_lines
from riserkit.reports.materials.door import door_lines
from riserkit.reports.materials.values import KINDS, METRES, MaterialLine, Needed
from riserkit.reports.table import Cell, ReportTable

PRACTICE: Final = (
    "Connectors, boxes, transfers, consumables and labels are counted by common practice, no source; lengths are of cable in "
    "place, so add what a reel wastes."
)
_HAIR_M: Final = 0.005
NOT_FEASIBLE: Final = f"Not resolved: counted for the closest wiring. {DO_NOT_ORDER}:"
NO_LENGTH: Final = "No route for these cables; their length is not counted:"
NO_WIRING: Final = f"No wiring: only the PoE cable and the parts that the opening states are counted. {DO_NOT_ORDER}"


def not_counted(door: DoorDesign) -> str:
    """What the list of a door leaves out for want of wiring to count it from, a sentence; empty where all is counted."""
    return f"{NO_WIRING}." if door.wiring.netlist is None else ""


def door_materials(design: Design, door: DoorDesign) -> Mapping[MaterialLine, float]:
    """What one door takes: quantity by line; cable in metres."""
    return added_up(door_lines(design, door))


def site_materials(design: Design) -> Mapping[MaterialLine, float]:
    """What the site takes: the sum of its doors, with the backbone and the supplies that stand in closets."""
    doors = (needed for door in design.doors for needed in door_lines(design, door))
    return added_up((*doors, *closet_lines(design)))


def added_up(needed: Iterable[Needed]) -> Mapping[MaterialLine, float]:
    """Quantities summed by line, in the order that a list shows them."""
    found: dict[MaterialLine, float] = {}
    for line, quantity in needed:
        found[line] = found.get(line, 0.0) + quantity
    return {line: found[line] for line in sorted(found, key=_order)}


def _order(line: MaterialLine) -> tuple[int, str, str]:
    return KINDS.index(line.kind), line.item, line.description


def door_materials_table(design: Design, holds: Holds = NO_HOLDS) -> ReportTable:
    """All doors' lists one below the other, openings in the order of the site."""
    system = design.site.info.unit_system
    columns = ("opening", *_columns(system))
    rows = tuple(
        (door.mark, *row, holds.words(door.mark))
        for door in design.doors
        for row in _rows(door_materials(design, door), system)
    )
    return ReportTable("materials_by_door", columns, (*rows, *(("", *note) for note in _notes(design))))


def site_materials_table(design: Design, holds: Holds = NO_HOLDS) -> ReportTable:
    """The site's list: what only openings on HOLD need is not to be ordered, and how much of the rest is theirs."""
    system, whole = design.site.info.unit_system, site_materials(design)
    released = (needed for door in design.doors if door.mark not in holds for needed in door_lines(design, door))
    free = added_up((*released, *closet_lines(design)))
    words = [_hold_words(line, whole[line], free.get(line, 0.0), system) for line in whole]
    rows = tuple((*row, told) for row, told in zip(_rows(whole, system), words, strict=True))
    notes = tuple(_notes(design))
    return ReportTable("materials", _columns(system), (*rows, *notes), (*map(bool, words), *(False for _ in notes)))


def _hold_words(line: MaterialLine, quantity: float, free: float, system: UnitSystem) -> str:
    """What of a line waits for openings on HOLD; empty when nothing does."""
    if free <= 0.0:
        return f"{HOLD}: {DO_NOT_ORDER}"
    waiting = quantity - free
    if line.unit == METRES:
        return f"{HOLD}: {DO_NOT_ORDER}, {_whole(waiting, system)} of it" if waiting > _HAIR_M else ""
    return f"{HOLD}: {DO_NOT_ORDER}, {round(waiting)} of these" if round(waiting) else ""


def _columns(system: UnitSystem) -> tuple[str, ...]:
    return ("kind", "item", "description", "pieces", length_column("length", system), "note", "hold")


def _rows(quantities: Mapping[MaterialLine, float], system: UnitSystem) -> Iterable[tuple[Cell, ...]]:
    for line, quantity in quantities.items():
        if line.unit == METRES:
            length = length_cell(quantity, system)
            note = "; ".join(filter(None, (f"rounded up, {_whole(quantity, system)}", line.note)))
            yield (line.kind, line.item, line.description, None, length, note)
        else:
            yield (line.kind, line.item, line.description, round(quantity), None, line.note)


def _whole(length_m: float, system: UnitSystem) -> str:
    """A length in whole units, never less than it is."""
    length, unit = (length_m / FT_M, "ft") if system == "imperial" else (length_m, "m")
    return f"{math.ceil(length - 1e-9)} {unit}"


def _notes(design: Design) -> tuple[tuple[Cell, ...], ...]:
    texts = [PRACTICE]
    unknown = [c.subject for c in (*_poe_cables(design), *design.backbone) if c.route is None]
    without = [d.mark for d in design.doors if d.wiring.build is None]
    missed = [d.mark for d in design.doors if d.wiring.build is not None and not _feasible(d)]
    named = ((NO_LENGTH, unknown), (f"{NO_WIRING}:", without), (NOT_FEASIBLE, missed))
    texts += [f"{text} {', '.join(subjects)}." for text, subjects in named if subjects]
    return tuple(("note", "", text, None, None, "", "") for text in texts)


def _poe_cables(design: Design) -> Iterable[CableRun]:
    return (door.cable for door in design.doors if door.cable is not None)


def _feasible(door: DoorDesign) -> bool:
    return door.wiring.chosen is not None and door.wiring.chosen.feasible
