"""What a reader hands over: records as they were found, with where each one is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from riserkit.model.problems import Problem, Where, shorten

MOST_FIELDS: Final = 1_000
"""No table has as many columns and no record as many fields; more is not read."""
OUTSIDE: Final = "outside"
"""The option that lets a site's own files name others outside its folder."""
ASK_OUTSIDE: Final = "read it with --outside if that is meant"
BROKEN_OFF: Final = ".new/ready.json"
"""A file in a folder of tables while an import puts them in place: some of them are new, and some not yet."""


def is_outside(path: Path, folder: Path) -> bool:
    """Whether a file, links followed, lies outside a folder: a site's files may not reach for others of the machine.

    Raises:
        OSError: links lead in a circle.
    """
    try:
        return not path.resolve().is_relative_to(folder.resolve())
    except RuntimeError as error:
        # Python 3.11 and 3.12 raise this for a circle of links.
        raise OSError(0, "its links lead in a circle") from error


@dataclass(frozen=True, slots=True)
class RawRecord:
    """One record as read: values by field name, and where it is.

    Args of note:
        columns: the user's own column name for a field, where it differs.
        cells: what stood in the input for a field, where the reader made something else of it (a translated value,
            a unit taken from the header).
        places: where a field is when not at `where`, such as a default from a mapping file.
        reported: fields about which the reader has said all there is to say; they have no value here.
    """

    values: Mapping[str, Any]
    where: Where
    columns: Mapping[str, str] = field(default_factory=dict)
    cells: Mapping[str, object] = field(default_factory=dict)
    places: Mapping[str, Where] = field(default_factory=dict)
    reported: frozenset[str] = frozenset()

    def problem(self, name: str, seen: object, wanted: str) -> Problem:
        """A problem with the field `name`, in the user's own words for place, column and value."""
        column = self.columns.get(name, name)
        return Problem(self.places.get(name, self.where), column, shorten(self.cells.get(name, seen)), wanted)


@dataclass(frozen=True, slots=True)
class RawSite:
    """All that a reader found.

    Args of note:
        info: the site's own facts; may be absent.
        problems: those of the file format itself.
        notes: what the user should know though nothing is wrong, such as rows left out by a filter.
    """

    info: RawRecord | None
    tables: Mapping[str, Sequence[RawRecord]]
    problems: tuple[Problem, ...] = ()
    place: Where = field(default_factory=lambda: Where("site"))
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TextSheet:
    """A sheet of a workbook, or a text table, as texts.

    Args of note:
        name: of the sheet; of a text table its file's without the suffix.
        rows: by row number, counted from 1, the texts of its cells; rows without any are absent.
        errors: by (row, column counted from 0) what stands there in place of a value.
        lone: it is the file's only one.
        comments: by (row, column counted from 0) what is written beside a cell.
    """

    name: str
    rows: Mapping[int, Sequence[str]]
    errors: Mapping[tuple[int, int], str] = field(default_factory=dict)
    lone: bool = False
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
