"""Problems in the input: where, what was seen, and what would be accepted. All of them at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from riserkit.errors import RiserkitError

_SEEN_MAX_CHARS = 60


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """A place in the input: file, then row (1 is the header of a table) or a JSON pointer."""

    file: str
    row: int = 0
    pointer: str = ""

    def __str__(self) -> str:
        """`doors.csv, row 3` or `site.json, /openings/2`."""
        if self.row:
            return f"{self.file}, row {self.row}"
        return f"{self.file}, {self.pointer}" if self.pointer else self.file


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with the input."""

    where: Where
    column: str
    seen: str
    accepted: str

    def __str__(self) -> str:
        """One line a person can act on."""
        column = f", column {self.column}" if self.column else ""
        seen = f": saw {self.seen!r}" if self.seen else ""
        return f"{self.where}{column}{seen}; {self.accepted}"


def shorten(value: object) -> str:
    """A value as seen, cut so that a cell of a megabyte still makes one readable line."""
    text = value if isinstance(value, str) else str(value)
    return text if len(text) <= _SEEN_MAX_CHARS else f"{text[:_SEEN_MAX_CHARS]}... ({len(text)} characters)"


class InputError(RiserkitError):
    """The input cannot be made into a site. `problems` has every reason found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        lines = "\n".join(f"  {problem}" for problem in self.problems)
        count = len(self.problems)
        super().__init__(f"{count} problem{'s' if count != 1 else ''} in the input:\n{lines}")
