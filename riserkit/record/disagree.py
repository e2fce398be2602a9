"""Where what comes back disagrees, within a return or with what is on record: questions with both values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from riserkit.model.returned import Returned, ReturnedLanding
from riserkit.quantities.grouping import grouped
from riserkit.record.returned_rows import FoundRow
from riserkit.record.returns import said_of


@dataclass(frozen=True, slots=True)
class Said:
    """One side of a question: what is said, where it stands, and who says so. `file` names it for whoever answers."""

    value: str
    where: str
    who: str
    file: str


@dataclass(frozen=True, slots=True)
class ReturnQuestion:
    """Two values for one thing."""

    about: str
    column: str
    sides: tuple[Said, Said]

    def __str__(self) -> str:
        """One line a person can answer."""
        one, two = self.sides
        return f"{self.about}, {self.column}: {one.value} in {one.where} ({one.who}), {two.value} in {two.where} ({two.who})"


@dataclass(frozen=True, slots=True)
class Replaced:
    """What is on record and is replaced, knowingly."""

    about: str
    column: str
    was: str
    is_now: str


@dataclass(frozen=True)
class Agreed:
    """What can be taken, and what cannot."""

    rows: tuple[FoundRow, ...]
    questions: tuple[ReturnQuestion, ...]
    replaced: tuple[Replaced, ...]
    unchanged: int


@dataclass(frozen=True)
class TakenReturn:
    """What has become of a return.

    Args:
        record: where it is on record; None where nothing was taken.
        rows: how many rows were taken, by table.
        questions: where files disagree; then nothing was taken.
        replaced: what was on record before and is replaced.
        unchanged: rows that say what is on record already.
        left: sheets that are no table to be filled in, by file.
        no_photos: photographs that rows name and that were not found.
        renamed: openings that rows name as they were called at an issue, and what they are called now.
        comments: those beside cells, which go on record nowhere: where each is, and what it says.
    """

    record: Path | None
    rows: Mapping[str, int]
    questions: tuple[ReturnQuestion, ...] = ()
    replaced: tuple[Replaced, ...] = ()
    unchanged: int = 0
    left: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    no_photos: tuple[str, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)
    comments: tuple[tuple[str, str], ...] = ()


def agree(found: Sequence[FoundRow], on_record: Mapping[str, Sequence[Returned]], taken: Sequence[str] = ()) -> Agreed:
    """What of these rows can be taken.

    Rows of one return about one thing must agree. A row that differs from what is on record replaces it when its date is
    later. Anything else is a question, unless one of its sides is a file that holds where files disagree.

    Args:
        found: rows of one return.
        on_record: by table what was last said of each thing.
        taken: names of files that hold.
    """
    groups = grouped(((one.table, one.row.key), one) for one in found)
    before = {(table, row.key): row for table, rows in on_record.items() for row in rows}
    rows: list[FoundRow] = []
    questions: list[ReturnQuestion] = []
    replaced: list[Replaced] = []
    unchanged = 0
    for key, group in groups.items():
        kept, asked = _within(group, taken)
        questions += asked
        recorded = before.get(key)
        for one in () if asked else kept:
            if recorded is not None and _adds_nothing(one.row, recorded):
                unchanged += 1
                continue
            differing = list(_differing(recorded, one.row)) if recorded is not None else []
            if recorded is not None and differing and one.row.date <= recorded.date and one.row.file not in taken:
                questions += [_question(one, column, recorded) for column in differing[:1]]
                continue
            replaced += [_replaced(one, column, recorded) for column in differing if recorded is not None]
            rows.append(one)
    return Agreed(tuple(rows), tuple(questions), tuple(replaced), unchanged)


def _within(group: list[FoundRow], taken: Sequence[str]) -> tuple[list[FoundRow], list[ReturnQuestion]]:
    """Rows about one thing, repetitions left out; and where they disagree."""
    holding = [one for one in group if one.row.file in taken]
    if holding and any(list(_differing(one.row, holding[0].row)) for one in group):
        group = holding
    kept: list[FoundRow] = []
    questions: list[ReturnQuestion] = []
    for one in group:
        for other in kept:
            questions += [
                _question(other, column, one.row, str(one.where), one.texts.get(column, ""))
                for column in _differing(other.row, one.row)
            ]
        if not any(_adds_nothing(one.row, other.row) for other in kept):
            kept.append(one)
    return kept, questions


def _plain(row: Returned) -> dict[str, object]:
    """What a row states. That a landing is not as drawn goes without saying where it says what was landed."""
    stated = dict(row.stated)
    if isinstance(row, ReturnedLanding) and len(stated) > 1 and row.as_drawn is False:
        del stated["as_drawn"]
    return stated


def _differing(was: Returned, now: Returned) -> Iterator[str]:
    """Columns of which two rows about one thing say something else."""
    one, two = _plain(was), _plain(now)
    columns = one.keys() & two.keys() if now.ADDS else one.keys() | two.keys()
    yield from (name for name in now.FILLED if name in columns and one.get(name) != two.get(name))


def _adds_nothing(row: Returned, to: Returned) -> bool:
    """Whether a row says no more than another about the same thing."""
    one, two = _plain(row), _plain(to)
    return all(two.get(name) == value for name, value in one.items()) and (row.ADDS or one == two)


def _question(one: FoundRow, column: str, other: Returned, where: str = "", written: str = "") -> ReturnQuestion:
    """Both values as they were written, in the units of whoever wrote them; one on record in metres."""
    at = where or f"{other.file}, on record"
    first = Said(one.texts.get(column, "") or _text(one.row, column), str(one.where), _who(one.row), one.row.file)
    second = Said(written or _text(other, column), at, _who(other), other.file)
    return ReturnQuestion(about(one.table, one.row), column.removesuffix("_m"), (first, second))


def _replaced(one: FoundRow, column: str, recorded: Returned) -> Replaced:
    was, now = _text(recorded, column), _text(one.row, column)
    return Replaced(about(one.table, one.row), column.removesuffix("_m"), was, now)


def _text(row: Returned, column: str) -> str:
    value = getattr(row, column)
    if value in ("", None):
        return "nothing"
    return f"{said_of(value)} m" if column.endswith("_m") else said_of(value)


def _who(row: Returned) -> str:
    return f"{row.by}, {row.date.isoformat()}"


def about(table: str, row: Returned) -> str:
    """What a row is about, in words: `landings: 2 12 2-W6 RD K2.NC B2.2C`."""
    return f"{table.replace('_', ' ')}: {' '.join(filter(None, row.key))}"
