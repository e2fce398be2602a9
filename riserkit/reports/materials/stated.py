"""Parts that an opening states, counted where no wiring can be drawn to count them from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.design import Design
from riserkit.model.opening import Opening
from riserkit.model.references import PART_KINDS
from riserkit.reports.materials.values import MaterialLine, Needed

BY_FIRE_ALARM: Final = "by fire alarm"


def stated_lines(design: Design, opening: Opening) -> Iterator[Needed]:
    """What the opening names as its parts; those that only its wiring would bring are not known.

    Each has the line that it has at an opening that is wired, so that they add up.
    """
    for column in PART_KINDS["openings"]:
        part_id = getattr(opening, column)
        if part_id:
            note = BY_FIRE_ALARM if column == "fire_relay" else ""
            line = MaterialLine("part", part_id, design.site.part_title(part_id), note=note)
            yield line, _pieces(design, opening, column)


def _pieces(design: Design, opening: Opening, column: str) -> int:
    """As many as any wiring takes: by lock, by leaf, by bar."""
    if column in ("lock", "suppressor"):
        return opening.lock_count
    if column == "contact":
        return opening.contacts
    in_leaf = getattr(design.site.part.get(getattr(opening, column)), "in_leaf", None)
    return opening.bars if in_leaf and column in ("rex", "release") else 1
