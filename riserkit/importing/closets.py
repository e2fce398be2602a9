"""Closets that rooms' names speak of: proposed, never added."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.facts import At, RoomFact
from riserkit.importing.names import as_id, number_text, unlike

TELECOM: Final = (
    "telecom", "telecommunications", "telephone", "comm rm", "comm room", "comms", "communications", "idf", "mdf", "data room",
    "network", "server", "it room", "tel room", "edv", "technologie",
)  # fmt: skip
"""Names of rooms that may hold switches; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the user may want to add: a closet where a room's name speaks of one. Never added by itself."""

    table: str
    cells: Mapping[str, str]
    at: At
    why: str


def proposed_closets(rooms: Sequence[RoomFact], marks: Collection[str]) -> Iterator[Proposal]:
    """Closets that rooms' names speak of. None is called as an opening is: a run could not say which of them it goes to."""
    taken: set[str] = set()
    for room in rooms:
        said = next((word for word in TELECOM if word in room.name.casefold()), "")
        if not said or room.at_m is None:
            continue
        name = as_id(room.number or room.name, "TR")
        name = unlike(f"TR-{name}" if name in marks else name, taken)
        taken.add(name)
        cells = {"id": name, "level": room.level, "name": room.name, "x_m": number_text(room.at_m[0]),
                 "y_m": number_text(room.at_m[1])}  # fmt: skip
        yield Proposal("closets", cells, room.at, f"its name says {said!r}")
