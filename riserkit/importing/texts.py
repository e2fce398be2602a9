"""A table as the user keeps it: cells can be changed and rows added while all else stays as it was typed.

Comments, blank lines, columns of the user's own, their order, the delimiter and the way numbers are written all stay.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from riserkit.model.guarded import guard, unguard
from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.tables import FieldFacts, fields_of
from riserkit.quantities.stated import parse_quantity, unit_named

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_POINT_NUMBER = re.compile(r"[+-]?\d+\.\d+")
_NOT_A_LETTER = re.compile(r"[^\w]+|_+")
_QUANTITY_DIGITS: Final = 9
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f\ufffd]")
"""None of these stands in a table; the last for bytes of no sign."""


@dataclass(slots=True)
class Line:
    """A row with its cells, or text between rows; `raw` is as it was typed, until a cell changes."""

    raw: str
    cells: list[str] | None = None
    is_changed: bool = False


@dataclass(slots=True)
class EditableTable:
    """A table that may be changed.

    Args of note:
        columns: by field its place among the cells, and the unit of a heading that has its own.
    """

    name: str
    lines: list[Line]
    header: Line
    delimiter: str
    columns: dict[str, tuple[int, str]]
    newline: str = "\n"
    mark: bytes = b""
    encoding: str = "utf-8"
    has_comma: bool = False
    added: set[str] = field(default_factory=set)

    def rows(self) -> Iterator[Line]:
        """The rows below the heading."""
        return (line for line in self.lines if line.cells is not None and line is not self.header)

    def get(self, row: Line, column: str) -> str:
        """What a cell says, empty where there is no such column."""
        place = self.columns.get(column)
        if place is None or row.cells is None or place[0] >= len(row.cells):
            return ""
        return unguard(row.cells[place[0]].strip())

    def put(self, row: Line, column: str, text: str) -> None:
        """Change a cell; a column that is missing is added at the right."""
        if column not in self.columns:
            cells = self.header.cells or []
            # right of every cell there is: one that stands beyond the headings gets no meaning by this
            widest = max(len(line.cells or ()) for line in self.lines)
            cells += [*[""] * (widest - len(cells)), column]
            self.columns[column] = (len(cells) - 1, "")
            self.header.is_changed = True
        index, unit = self.columns[column]
        cells = row.cells if row.cells is not None else []
        cells.extend([""] * (index + 1 - len(cells)))
        facts = fields_of(self.name)[column]
        if text and unit:
            text = f"{text} {facts.suffix}"
        if self.has_comma and facts.kind in ("quantity", "number"):
            text = text.replace(".", ",")
        # A minus before a number is no formula; only text is guarded.
        is_number = facts.kind != "text" and _NUMBER.fullmatch(text) is not None
        cells[index] = text if is_number or not text else guard(text)
        row.is_changed = True

    def add(self, values: Mapping[str, str]) -> Line:
        """A new row at the end."""
        row = Line("", [""] * len(self.header.cells or []), is_changed=True)
        if self.lines and self.lines[-1].raw and not self.lines[-1].raw.endswith(("\n", "\r")):
            self.lines[-1].raw += self.newline
        self.lines.append(row)
        for column, text in values.items():
            self.put(row, column, text)
        return row

    def drop(self, row: Line) -> None:
        """Take a row out."""
        self.lines = [line for line in self.lines if line is not row]

    def to_bytes(self) -> bytes:
        """The table as a file; rows without a change are byte for byte what they were."""
        width = len(self.header.cells or [])
        texts = []
        for line in self.lines:
            if line.cells is None or not (line.is_changed or (self.header.is_changed and len(line.cells) < width)):
                texts.append(line.raw)
            else:
                line.cells.extend([""] * (width - len(line.cells)))
                texts.append(self.delimiter.join(_quoted(cell, self.delimiter) for cell in line.cells) + self.newline)
        return self.mark + "".join(texts).encode(self.encoding)


def new_table(name: str, columns: Mapping[str, object] | list[str]) -> EditableTable:
    """A table with a heading and no rows."""
    header = Line("", list(columns), is_changed=True)
    places = {column: (n, "") for n, column in enumerate(columns)}
    return EditableTable(name, [header], header, ",", places)


def read_text(name: str, file: str, data: bytes) -> EditableTable:
    """A table as it stands in a file.

    Raises:
        InputError: it cannot be changed without losing something; says why.
    """
    mark, encoding = _encoding(data)
    text = data[len(mark) :].decode(encoding, "replace")
    if control := _CONTROL.search(text):
        number = text.count("\n", 0, control.start()) + 1
        wanted = f"expected a table of text; there is a control character (U+{ord(control[0]):04X})"
        raise InputError([Problem(Where(file, number), "", "", wanted)])
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = list(_lines(file, text))
    header = next((line for line in lines if line.cells is not None), None)
    if header is None:
        raise InputError([Problem(Where(file), "", "", "expected a header row with the names of the columns")])
    delimiter = max(
        ",;\t", key=lambda sign: (len(_fields(name, next(csv.reader([header.raw], delimiter=sign)))), sign == ",")
    )
    for line in lines:
        if line.cells is not None:
            line.cells = next(csv.reader(io.StringIO(line.raw, newline=""), delimiter=delimiter))
    columns = _fields(name, header.cells or [])
    bare = [cell.strip() for line in lines for cell in line.cells or ()]
    comma = delimiter == ";" and any(map(_COMMA_NUMBER.fullmatch, bare)) and not any(map(_POINT_NUMBER.fullmatch, bare))
    return EditableTable(name, lines, header, delimiter, columns, newline, mark, encoding, comma)


def _encoding(data: bytes) -> tuple[bytes, str]:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
    ):
        if data.startswith(mark):
            return mark, encoding
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return b"", "cp1252"
    return b"", "utf-8"


def _lines(file: str, text: str) -> Iterator[Line]:
    """Rows and what stands between them; a row goes on while a quote is open."""
    held = ""
    for number, line in enumerate(text.splitlines(keepends=True), 1):
        held += line
        if held == line and (
            not line.strip() or line.lstrip().startswith("#") or (number == 1 and line.startswith("sep="))
        ):
            yield Line(held)
            held = ""
        elif held.count('"') % 2 == 0:
            yield Line(held, [])
            held = ""
    if held:
        raise InputError(
            [Problem(Where(file), "", "", "expected a closing quote; the last one that opens is never closed")]
        )


def plain_heading(text: str) -> str:
    """A heading without case, spaces, brackets and underscores: `Length (m)` is `length_m`."""
    return _NOT_A_LETTER.sub("_", text.casefold()).strip("_")


def _fields(name: str, headings: list[str]) -> dict[str, tuple[int, str]]:
    """By field its place, and the unit of its heading where that is another than the field's own."""
    known = fields_of(name)
    found: dict[str, tuple[int, str]] = {}
    for index, heading in enumerate(headings):
        plain = plain_heading(heading)
        if plain in known:
            found.setdefault(plain, (index, ""))
            continue
        stem, _, unit = plain.rpartition("_")
        for facts in known.values():
            if stem and facts.suffix and facts.name == f"{stem}_{facts.suffix}" and unit_named(unit, facts.suffix):
                found.setdefault(facts.name, (index, unit))
    return found


def same_value(facts: FieldFacts | None, one: str, other: str, unit: str = "") -> bool:
    """Whether two cells say the same, however they are written: `0.915`, `0,915` and `915 mm`."""
    if one == other:
        return True
    if not one or not other or facts is None:
        return False
    if facts.kind == "yes-no":
        yes = {"yes", "true", "1", "x", "✓", "✔", "wahr"}
        no = {"no", "false", "0", "falsch"}
        return (one.casefold() in yes and other.casefold() in yes) or (one.casefold() in no and other.casefold() in no)
    if facts.kind == "text":
        return False
    try:
        suffix = facts.suffix or "m"
        first, second = (parse_quantity(text.replace(",", "."), suffix, u) for text, u in ((one, unit), (other, "")))
    except ValueError:
        return False
    return round(first, _QUANTITY_DIGITS) == round(second, _QUANTITY_DIGITS)


def _quoted(cell: str, delimiter: str) -> str:
    # A row that begins with # would be a comment.
    if cell.startswith("#") or any(sign in cell for sign in f'{delimiter},"\r\n;\t'):
        return '"' + cell.replace('"', '""') + '"'
    return cell
