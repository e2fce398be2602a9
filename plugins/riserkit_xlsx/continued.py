"""Doors that a list tells of in several rows: continued below, or listed again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from riserkit.importing.facts import DocumentNote, DoorFact
from riserkit.importing.names import folded_mark

_ONCE: Final = ("width_m", "height_m", "leaves", "fire_rating", "hardware_set", "external")


def goes_on(door: DoorFact) -> bool:
    """Whether a row without a mark may go on with the door above: it says nothing that only a door of its own has."""
    return not door.mark and door.width_m is None and door.height_m is None and "level" not in _stated_itself(door)


def _stated_itself(door: DoorFact) -> set[str]:
    return {"level"} if door.level and "level" not in door.inferred else set()


def with_more(first: DoorFact, more: DoorFact) -> DoorFact:
    """A door with what a later row says of it; where both state a thing otherwise, the later is in the remarks."""
    clashes = [
        f"{name}: {getattr(more, name)}"
        for name in _ONCE
        if getattr(more, name) not in (None, "", getattr(first, name)) and getattr(first, name) not in (None, "")
    ]
    clashes += [f"{name}: {text}" for name, text in more.stated.items() if first.stated.get(name, text) != text]
    given = {name: getattr(more, name) for name in _ONCE if getattr(first, name) in (None, "")}
    return replace(
        first, **given, stated={**more.stated, **first.stated},
        hardware=(*first.hardware, *(x for x in more.hardware if x not in first.hardware)),
        remarks=(*first.remarks, *(x for x in more.remarks if x not in first.remarks),
                 *(f"{more.at.place}: {text}" for text in clashes)),
        controlled=True if first.controlled or more.controlled else first.controlled,
    )  # fmt: skip


def joined(doors: Iterable[DoorFact], notes: list[DocumentNote]) -> list[DoorFact]:
    """Doors of one mark and level that stand in several rows, made one: what the first says holds, the rest is asked."""
    found: dict[tuple[str, str], DoorFact] = {}
    for n, door in enumerate(doors):
        key = (folded_mark(door.mark), door.level) if door.mark else ("", f"{n}")
        first = found.get(key)
        if first is None:
            found[key] = door
            continue
        notes.append(
            DocumentNote("question", door.at,
                 f"door {door.mark} is listed again; it is in {first.at.place} too, and both are read as one door",
                 "state each door once, or by marks of their own")
        )  # fmt: skip
        found[key] = with_more(first, door)
    return list(found.values())
