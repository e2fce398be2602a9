"""Which doors of a list have access control."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from riserkit.importing.facts import At, DocumentNote, DoorFact, HardwareSet
from riserkit.importing.hardware import is_nothing, understand
from riserkit.importing.hardware_sets import HardwareSets
from riserkit.model.stock import SHIPPED_STOCK
from riserkit_xlsx.blocks import ListBlock

_MOST_NAMED: Final = 12
_UNCONTROLLED: Final = re.compile(
    r"\b(?:no|without|not) access control|sans contr[ôo]le d['’ ]?acc[èe]s|ohne (?:zutritts|zuko)|sin control de acceso",
    re.IGNORECASE,
)


def with_control(
    doors: Sequence[DoorFact], blocks: Sequence[ListBlock], sets: Sequence[HardwareSet], document: str,
    notes: list[DocumentNote],
) -> list[DoorFact]:  # fmt: skip
    """The doors, each with whether it has access control; how many have none is added to the notes."""
    columns = {
        m for block in blocks for m in block.meanings.values() if m in ("controlled", "set") or m.startswith("hardware")
    }
    by_name = HardwareSets(sets)
    told = [row_controls(door, by_name) for door in doors]
    if not columns or not any(told):
        if doors:
            why = "nothing in it speaks of access control" if not columns else "no row of it states any"
            text = f"all {len(doors)} rows are taken for controlled doors: {why}"
            notes.append(DocumentNote("inferred", At(document), text, "take out those that are not"))
        return list(doors)
    off = [door.mark or str(door.at) for door, is_on in zip(doors, told, strict=True) if not is_on]
    if off:
        names = ", ".join(off[:_MOST_NAMED]) + (", ..." if len(off) > _MOST_NAMED else "")
        text = f"{len(doors) - len(off)} of {len(doors)} rows kept: {len(off)} have no access control ({names})"
        notes.append(DocumentNote("inferred", At(document), text, 'state doors.keep = "all" to take them too'))
    return [replace(door, controlled=is_on) for door, is_on in zip(doors, told, strict=True)]


def row_controls(door: DoorFact, sets: HardwareSets) -> bool:
    """Whether a row speaks of access control: a tick, a device, or a set that has one."""
    if door.controlled is not None:
        return door.controlled
    if any(_UNCONTROLLED.search(text) for text in door.remarks):
        return False
    if _speaks(door.hardware):
        return True
    items = sets.items(door.hardware_set)
    if door.hardware_set and not items:
        # A set that no table describes may be anything; the door is kept.
        return True
    return _speaks(items) or any(door.stated.get(name) for name in ("lock", "controller", "reader_in", "fail_mode"))


def _speaks(items: Sequence[tuple[str, str]]) -> bool:
    found = understand([item for item in items if not is_nothing(item[1])], SHIPPED_STOCK.parts, {})
    return bool(found.values or found.asked)
