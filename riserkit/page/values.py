"""What a page is made from: plain values, whoever worked them out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

Rows = tuple[tuple[str, ...], ...]


class DoorStatus(NamedTuple):
    """How a door stands: a letter for the plan, words for everybody, and the name of its colour."""

    letter: str
    word: str
    tone: str


HELD: Final = DoorStatus("H", "HOLD", "held")
ERROR: Final = DoorStatus("E", "open error", "error")
WARNING: Final = DoorStatus("W", "open warning", "warning")
NOT_EVALUATED: Final = DoorStatus("N", "not evaluated", "unknown")
ACCEPTED: Final = DoorStatus("A", "error accepted", "accepted")
NOTHING_OPEN: Final = DoorStatus("0", "no error or warning open", "quiet")
STATUSES: Final = (HELD, ERROR, WARNING, NOT_EVALUATED, ACCEPTED, NOTHING_OPEN)
"""The gravest first."""


@dataclass(frozen=True, slots=True)
class PageFrame:
    """What every page of a folder says.

    Args:
        site: number and name.
        issue: revision and status of the set, in words.
        cautions: standing ones, with the codes that the site names.
        hold: heading over doors on HOLD, as designed or as built.
        written_by: program and version.
        pages: file and title of the pages that every page leads to.
    """

    site: str
    issue: str
    cautions: tuple[str, ...]
    hold: str = "HOLD - DO NOT BUILD"
    written_by: str = ""
    pages: Rows = ()


@dataclass(frozen=True, slots=True)
class PageNotice:
    """What must be seen first: a heading, sentences, whether nothing may be built, and the sheet of this page that shows why."""

    heading: str
    words: tuple[str, ...] = ()
    hold: bool = False
    sheet_id: str = ""


@dataclass(frozen=True, slots=True)
class PageTable:
    """A table: its title, what its columns are called, its rows as text."""

    title: str
    headers: tuple[str, ...]
    rows: Rows


class SheetBox(NamedTuple):
    """A box on a sheet: left, top, width, height in the sheet's own units."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class DoorSpot:
    """A door on a sheet, which leads to its page."""

    mark: str
    title: str
    status: DoorStatus
    spots: tuple[SheetBox, ...]


@dataclass(frozen=True, slots=True)
class SheetView:
    """A sheet of the set as a picture.

    Args:
        sheet_id: such as `T-501-101`.
        title: in words.
        width, height: in the units of `body`, tenths of a point.
        body: elements of an SVG, all text in them escaped.
        doors: doors that can be followed.
        held: doors on HOLD among those that it shows: mark, and which findings hold it.
        summary: what it shows, in a sentence for whoever cannot see it.
    """

    sheet_id: str
    title: str
    width: int
    height: int
    body: str = field(repr=False)
    doors: tuple[DoorSpot, ...] = ()
    held: Rows = ()
    summary: str = ""


@dataclass(frozen=True, slots=True)
class Margin:
    """A number against its limit, as a bar.

    Args:
        what: what was judged.
        value, limit, margin: as printed.
        verdict: `pass`, `fail`, `accepted` or `not evaluated`.
        at_most: the value may not exceed the limit; False: not fall below it; None: it is on the limit, and a finding does not
            say which.
        value_share, limit_share: places on the bar, 0 to 1.
        source: of the limit.
    """

    what: str
    value: str
    limit: str
    margin: str
    verdict: str
    at_most: bool | None
    value_share: float
    limit_share: float
    source: str = ""


@dataclass(frozen=True, slots=True)
class CalculationStep:
    """One number: how it comes about, from what, against what.

    Args:
        what: in words.
        formula: in symbols, which `inputs` explain.
        inputs: symbol and what it is, value, source.
        result, limit: as printed; the limit may be empty.
        verdict: `pass`, `FAIL`, `not evaluated` or empty.
    """

    what: str
    formula: str
    inputs: Rows
    result: str
    limit: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class Alternative:
    """A wiring that was considered.

    `verdict`: `selected`, `suitable` or `not suitable`. `decided`: the tests that reject it, with the number. `passed`: the
    others.
    """

    title: str
    how: str
    verdict: Literal["selected", "suitable", "not suitable", "not computed", "closest"]
    decided: tuple[str, ...]
    passed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding that does not pass.

    Args:
        number: in the order of the list, from 1; `findings.html#f12`.
        rule, about, harm, severity, verdict, status: in words.
        kind, subject: what it is about.
        message, remedy, source: sentences.
        accepted: who accepted it, and why.
        marks: doors that it concerns.
        levels: where these are.
        value, limit, margin: as printed; empty where it has no number.
        nearness: margin as a share of the limit; None where it has no number.
        holds: it puts its doors on HOLD.
    """

    number: int
    rule: str
    about: str
    harm: str
    severity: str
    verdict: str
    status: str
    kind: str
    subject: str
    message: str
    remedy: str
    source: str
    accepted: str = ""
    marks: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()
    value: str = ""
    limit: str = ""
    margin: str = ""
    nearness: float | None = None
    holds: bool = False


@dataclass(frozen=True, slots=True)
class Bench:
    """The live bench of a door, see the package's own page.

    Args:
        topology: name of its table, of letters, digits, `-` and `_`; doors wired alike share it.
        script: text of `bench/<topology>.js`; empty where that is written once for many doors.
        door: what differs from door to door; becomes JSON.
    """

    topology: str
    script: str = field(repr=False)
    door: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DoorPage:
    """One door, or one arrangement without a site; a part left empty is left out.

    Args:
        mark: of the door; what else the page is about where there is no door.
        title: beside it, such as its name.
        facts: name and value.
        notices: HOLD and the like, the gravest first.
        status: how it stands; None where nothing was checked.
        findings: about it, that do not pass.
        sheets: its own.
        more_sheets: file and title of other sheets that show it.
        margins: numbers against limits, the least margin first.
        calculation: how the numbers come about.
        proof: what the fault analysis says.
        alternatives: wirings considered, the selected one first.
        wiring: conductors, cables, spare conductors, truth table.
        materials: what to bring along.
        readings: what a meter shows.
        reading_notes: what to know of them.
        notes: of the sheet.
        bench: the live wiring, where there is one.
        neighbours: the pages before and after: word, file, title.
    """

    mark: str
    title: str
    facts: Rows = ()
    notices: tuple[PageNotice, ...] = ()
    status: DoorStatus | None = None
    findings: tuple[FindingView, ...] = ()
    sheets: tuple[SheetView, ...] = ()
    more_sheets: Rows = ()
    margins: tuple[Margin, ...] = ()
    calculation: tuple[CalculationStep, ...] = ()
    proof: tuple[str, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    wiring: tuple[PageTable, ...] = ()
    materials: PageTable | None = None
    readings: PageTable | None = None
    reading_notes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    bench: Bench | None = None
    neighbours: Rows = ()


@dataclass(frozen=True, slots=True)
class DoorEntry:
    """A door in the list of the overview."""

    mark: str
    title: str
    level: str
    status: DoorStatus
    why: str = ""


@dataclass(frozen=True, slots=True)
class Overview:
    """The first page: doors, plans and riser, other sheets (file, title)."""

    doors: tuple[DoorEntry, ...]
    sheets: tuple[SheetView, ...]
    more_sheets: Rows = ()
    facts: Rows = ()
