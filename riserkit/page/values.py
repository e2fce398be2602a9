"""What a page is made from: plain values, whoever worked them out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

Rows = tuple[tuple[str, ...], ...]


class DoorStatus(NamedTuple):
    """How a door stands: a letter for the plan, a word for everybody, and the name of its colour."""

    letter: str
    word: str
    tone: str


HELD: Final = DoorStatus("H", "HOLD", "held")
ERROR: Final = DoorStatus("E", "open error", "error")
WARNING: Final = DoorStatus("W", "open warning", "warning")
NOT_EVALUATED: Final = DoorStatus("N", "not evaluated", "unknown")
ACCEPTED: Final = DoorStatus("A", "errors accepted", "accepted")
NOTHING_OPEN: Final = DoorStatus("0", "no open findings", "quiet")
STATUSES: Final = (HELD, ERROR, WARNING, NOT_EVALUATED, ACCEPTED, NOTHING_OPEN)


@dataclass(frozen=True, slots=True)
class PageFrame:
    """What every page of a folder says.

    Args:
        site: number and name.
        issue: revision and status of the set, in words.
        cautions: standing ones, with the codes that the site names.
        written_by: program and version.
    """

    site: str
    issue: str
    cautions: tuple[str, ...]
    written_by: str = ""


@dataclass(frozen=True, slots=True)
class PageNotice:
    """What must be seen first: a heading, sentences, and whether nothing may be built."""

    heading: str
    words: tuple[str, ...] = ()
    hold: bool = False


@dataclass(frozen=True, slots=True)
class Bench:
    """The live bench of a door, see the package's own page.

    Args:
        topology: name of its table, of letters, digits, `-` and `_`; doors wired alike share it.
        script: text of `bench/<topology>.js`.
        door: what differs from door to door; becomes JSON.
    """

    topology: str
    script: str = field(repr=False)
    door: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DoorPage:
    """One door, or one arrangement without a site.

    Args:
        mark: of the door; what else the page is about where there is no door.
        title: beside it, such as its name.
        facts: name and value.
        notices: HOLD and the like, the gravest first.
        status: how it stands; None where nothing was checked.
        bench: the live wiring, where there is one.
    """

    mark: str
    title: str
    facts: Rows = ()
    notices: tuple[PageNotice, ...] = ()
    status: DoorStatus | None = None
    bench: Bench | None = None
