"""Problems in the input: where, what was seen, and what would be accepted. All of them at once."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from riserkit.errors import RiserkitError, visible
from riserkit.quantities.counting import counted
from riserkit.quantities.grouping import grouped

_SEEN_MAX_CHARS = 60
_ACCEPTED_MAX_CHARS = 800
_MOST_TOLD = 500
_MOST_APART = 3
_MOST_SPANS = 20
_NAME_MAX_CHARS = 120
_OFFERED_MAX = 12
_SEARCHED_MAX = 2000
_ADDRESS = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_DIGITS = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """A place in the input: the file, then a row or a place within a document.

    `row` counts as a spreadsheet shows a table: 1 is the first row, blank rows and comments count, and a cell of
    several lines is one row. `pointer` is a JSON pointer (RFC 6901), or a dotted name in a mapping file.
    """

    file: str
    row: int = 0
    pointer: str = ""

    def __str__(self) -> str:
        """`doors.csv, row 3` or `site.json, /openings/2`."""
        file = _printable(self.file)
        if self.row:
            return _at_rows(file, [self.row])
        return f"{file}, {_printable(self.pointer)}" if self.pointer else file


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with the input."""

    where: Where
    column: str
    seen: str
    accepted: str

    def __str__(self) -> str:
        """One line a person can act on."""
        return f"{self.where}{self.what}"

    @property
    def what(self) -> str:
        """What is wrong there, to follow the place."""
        column = f", column {_printable(self.column)}" if self.column else ""
        seen = f": saw {self.seen!r}" if self.seen else ""
        accepted = self.accepted
        if len(accepted) > _ACCEPTED_MAX_CHARS:
            accepted = f"{accepted[:_ACCEPTED_MAX_CHARS]}... ({len(accepted)} characters)"
        return f"{column}{seen}; {' '.join(visible(accepted).split())}"


def _at_rows(file: str, rows: Sequence[int], column: str = "") -> str:
    """A file and rows in it, or cells of a column, those that follow one another as from and to.

    Examples:
        >>> _at_rows("doors.csv", [3, 5, 6, 7, 9]), _at_rows("crew.xlsx, lengths", [3, 4, 9], "E")
        ('doors.csv, rows 3, 5 to 7, 9', 'crew.xlsx, lengths, cells E3 to E4, E9')
    """
    spans: list[list[int]] = []
    for row in rows:
        if spans and row == spans[-1][1] + 1:
            spans[-1][1] = row
        else:
            spans.append([row, row])
    told = [
        f"{column}{first}" if first == last else f"{column}{first} to {column}{last}"
        for first, last in spans[:_MOST_SPANS]
    ]
    if len(spans) > _MOST_SPANS:
        told.append(f"and {sum(last - first + 1 for first, last in spans[_MOST_SPANS:])} more")
    return f"{file}, {'cell' if column else 'row'}{'s' if len(rows) != 1 else ''} {', '.join(told)}"


def _printable(text: str) -> str:
    # A name taken from the input may hold control characters or half a character pair, which no terminal can print, and
    # be as long as a file.
    text = text if len(text) <= _NAME_MAX_CHARS else f"{text[:_SEEN_MAX_CHARS]}... ({len(text)} characters)"
    return text if text.isprintable() else ascii(text)


def shorten(value: object) -> str:
    """A value as seen, cut so that a cell of a megabyte still makes one readable line."""
    # Nothing, as only a JSON document can state it.
    text = value if isinstance(value, str) else "null" if value is None else str(value)
    return text if len(text) <= _SEEN_MAX_CHARS else f"{text[:_SEEN_MAX_CHARS]}... ({len(text)} characters)"


def offer(name: str, known: Collection[str]) -> str:
    """What the user may have meant by `name`: the closest of `known`, else a few of them.

    Examples:
        >>> offer("lenght_m", ["id", "length_m"])
        'did you mean length_m?'
        >>> offer("colour", ["id", "length_m"])
        'known: id, length_m'
    """
    folded = {item.casefold(): item for item in sorted(known, reverse=True)[:_SEARCHED_MAX]}
    found = difflib.get_close_matches(name[:_SEEN_MAX_CHARS].casefold(), sorted(folded), n=3, cutoff=0.6)
    close = [folded[item] for item in found]
    if close:
        return f"did you mean {' or '.join(close)}?"
    if not known:
        return "none is known here"
    some = sorted(known)[:_OFFERED_MAX]
    return f"known: {', '.join(some)}{', ...' if len(known) > len(some) else ''}"


def _reading_order(problem: Problem) -> tuple[object, ...]:
    # /openings/2 before /openings/10
    parts = tuple((0, int(x), "") if x.isdecimal() else (1, 0, x) for x in _DIGITS.split(problem.where.pointer))
    return problem.where.file, problem.where.row, parts, problem.column, problem.seen, problem.accepted


def _told(problems: Sequence[Problem]) -> list[str]:
    """A line for each, where the first stands; one line for what is wrong alike in more than a few rows of a file.

    So of cells of a workbook's sheet, below one another.
    """
    cells = [(problem, *_cell(problem.where)) for problem in problems]
    rows = grouped(((problem.where.file, column, problem.what), row) for problem, column, row in cells if row)
    lines = []
    for problem, column, row in cells:
        alike = sorted(rows.get((problem.where.file, column, problem.what), []))
        if len(alike) <= _MOST_APART or not row:
            lines.append(str(problem))
        elif row == alike[0]:
            lines.append(f"{_at_rows(_printable(problem.where.file), alike, column)}{problem.what}")
    return lines


def _cell(where: Where) -> tuple[str, int]:
    """The letters of a cell's column, empty of a row, and its row; 0 of another place."""
    cell = _ADDRESS.fullmatch(where.pointer) if not where.row else None
    return (cell[1], int(cell[2])) if cell else ("", where.row)


class InputError(RiserkitError):
    """The input cannot be made into a site.

    `problems` has every reason found, in reading order, and `lines` what is told of them, the same of several rows once; the text is
    the first 500 lines.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems), key=_reading_order))
        self.lines = tuple(_told(self.problems))
        count = len(self.problems)
        lines = [f"  {line}" for line in self.lines[:_MOST_TOLD]]
        if len(self.lines) > _MOST_TOLD:
            lines.append(f"  and {len(self.lines) - _MOST_TOLD} more; fix these first")
        super().__init__("\n".join([f"{counted(count, 'problem')} in the input:", *lines]))
