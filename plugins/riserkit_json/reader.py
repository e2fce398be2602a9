"""From a JSON document to raw records, each with its JSON pointer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from riserkit.model.assemble import TABLES
from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.raw import ASK_OUTSIDE, MOST_FIELDS, OUTSIDE, RawRecord, RawSite, is_outside
from riserkit.model.tables import FieldFacts, fields_of
from riserkit_json.text import NoNumber, SyntaxProblem, faults, parse, pointer

DOCUMENT_NAME: Final = "site.json"
_KNOWN: Final = ("$schema", "info", *TABLES)
_KINDS: Final[Mapping[type, str]] = {
    dict: "an object", list: "an array", str: "text", bool: "true or false", int: "a number", float: "a number",
    NoNumber: "a number", type(None): "null",
}  # fmt: skip


def find_document(path: Path) -> Path | None:
    """The document at a path: a `.json` file, or the `site.json` of a folder without tables; None when there is none."""
    if path.is_dir():
        tables = any(entry.suffix.lower() in {".csv", ".tsv"} for entry in path.iterdir())
        inside = path / DOCUMENT_NAME
        return inside if inside.is_file() and not tables else None
    return path if path.suffix.lower() == ".json" and path.is_file() else None


def read_document(path: Path, options: Mapping[str, str]) -> RawSite:
    """Read a document; everything wrong with it is in `problems` of the result."""
    place = Where(path.name)
    problems = []
    if options.get("mapping"):
        problems.append(
            Problem(place, "", options["mapping"], "expected no mapping file; one belongs to a folder of tables")
        )
    if is_outside(path, path.parent) and not options.get(OUTSIDE):
        problems.append(
            Problem(place, "", "", f"expected a document of its folder; this is a link out of it; {ASK_OUTSIDE}")
        )
        return RawSite(None, {}, tuple(problems), place)
    try:
        document = parse(path.read_bytes())
    except OSError as error:
        wanted = f"expected a file that can be read: {error.strerror}"
        return RawSite(None, {}, (*problems, Problem(place, "", "", wanted)), place)
    except SyntaxProblem as error:
        where = Where(path.name, pointer=error.place)
        return RawSite(None, {}, (*problems, Problem(where, "", "", str(error))), place)
    return _site(path.name, document, problems)


def _site(file: str, document: Any, problems: list[Problem]) -> RawSite:
    place = Where(file)
    problems += [Problem(Where(file, pointer=p), "", shorten(seen), wanted) for p, seen, wanted in faults(document)]
    if not isinstance(document, dict):
        wanted = f"expected an object with openings, levels and so on; this is {_kind(document)}"
        return RawSite(None, {}, (*problems, Problem(place, "", "", wanted)), place)
    unknown = [name for name in document if name not in _KNOWN]
    if len(unknown) > MOST_FIELDS:
        wanted = f"expected tables of a site; {len(unknown)} of these names are none"
        problems.append(Problem(place, "", shorten(unknown[0]), wanted))
    else:
        for name in unknown:
            wanted = f"not the name of a table; {offer(name, _KNOWN)}"
            problems.append(Problem(Where(file, pointer=pointer("", name)), "", "", wanted))
    info = None
    if "info" in document:
        info = _record(file, "info", "/info", document["info"], problems)
    tables = {name: tuple(_records(file, name, document[name], problems)) for name in TABLES if name in document}
    openings = Where(file, pointer="/openings") if "openings" in document else place
    return RawSite(info, tables, tuple(problems), openings)


def _records(file: str, table: str, rows: Any, problems: list[Problem]) -> Iterator[RawRecord]:
    if not isinstance(rows, list):
        wanted = f"expected an array of objects; this is {_kind(rows)}"
        problems.append(Problem(Where(file, pointer=f"/{table}"), "", "", wanted))
        return
    for index, row in enumerate(rows):
        record = _record(file, table, f"/{table}/{index}", row, problems)
        if record is not None:
            yield record


def _record(file: str, table: str, place: str, row: Any, problems: list[Problem]) -> RawRecord | None:
    where = Where(file, pointer=place)
    if isinstance(row, dict) and len(row) > MOST_FIELDS:
        problems.append(Problem(where, "", "", f"expected at most {MOST_FIELDS} fields; this record has {len(row)}"))
        return None
    if not isinstance(row, dict):
        problems.append(Problem(where, "", "", f"expected an object with the record's fields; this is {_kind(row)}"))
        return None
    values: dict[str, Any] = {}
    wrong, fields = set(), fields_of(table)
    for name, value in row.items():
        if isinstance(value, NoNumber):
            wrong.add(name)  # reported with the document's faults
        elif _names(value) and name in fields and fields[name].separator:
            values[name] = fields[name].separator.join(map(str, value))
        elif isinstance(value, (dict, list)):
            wrong.add(name)
            problems.append(Problem(where, name, "", _one_value_wanted(fields.get(name), value)))
        else:
            values[name] = value
    return RawRecord(values, where, reported=frozenset(wrong))


def _names(value: Any) -> bool:
    """Whether this is an array of names, numbers among them, such as the marks of doors."""
    return isinstance(value, list) and all(isinstance(one, (str, int)) and not isinstance(one, bool) for one in value)


def _one_value_wanted(field: FieldFacts | None, value: Any) -> str:
    """What a field takes in place of an array or an object."""
    if field is not None and field.separator:
        a_text = f'"A{field.separator}B"'
        return f'expected text such as {a_text}, or an array of texts such as ["A", "B"]; this is {_contents(value)}'
    if field is not None and field.kind == "text" and isinstance(value, list):
        return "expected one text; this is an array"
    return f"expected text, a number, true or false; this is {_kind(value)}"


def _contents(value: Any) -> str:
    """What an array holds that is no name; what else it is."""
    if not isinstance(value, list):
        return _kind(value)
    other = next(one for one in value if not _names([one]))
    return f"an array with {_kind(other)} in it"


def _kind(value: Any) -> str:
    return next((words for kind, words in _KINDS.items() if isinstance(value, kind)), "something else")
