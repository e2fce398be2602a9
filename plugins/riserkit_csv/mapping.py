r"""The mapping file: how a foreign list of doors becomes a site, without touching the list.

`mapping.toml` names, for each table of a site, the foreign file and what its columns mean. All of it is optional:

    ignore = ["notes.csv"]                # files beside the tables that are not meant to be read

    [values.storey]                       # a translation of values with a name, for use in several tables
    "Level 1" = "L1"

    [openings]
    file = "doors.csv"                    # else openings.csv; relative to the site's folder
    delimiter = ";"                       # else found in the header
    encoding = "cp1252"                   # else found
    decimal = ","                         # the decimal sign; else found
    ignore = ["room_b"]                   # their columns that are not meant to be read; ["*"] for all others

    [openings.columns]                    # our field = their column; columns named like our fields need no mention
    mark = "Door No."
    width_m = { column = "Leaf", unit = "mm" }    # the unit of bare numbers; else that of the header's last word

    [openings.values]                     # our field = what their values mean; a value not listed stays as it is
    level = "storey"
    outdoor = { "ext." = "yes", "int." = "no" }

    [openings.defaults]                   # where the cell is empty or there is no such column
    lock = "strike-12-secure"

    [openings.constants]                  # for every row, whatever the list says
    controller = "controller-c4"

    [[openings.keep]]                     # only rows that meet every `keep`; the rest is counted, not read
    column = "Controlled"                 # their column
    in = ["yes"]                          # or not_in = [...], or filled = true

    [site.constants]                      # facts of the site itself, in place of or over site.csv
    name = "Town library"

One file may serve several tables: name it in each. A file that bears a table's own name, such as rooms.csv, is read as
that table too; name it under `ignore` at the top when it is not meant to be.
"""

from __future__ import annotations

import datetime
import re
import tomllib
from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Final, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.refusals import accepted
from riserkit.model.tables import RECORDS, fields_of
from riserkit_csv.decode import NotTextError, decode

_RESERVED: Final = ("ignore", "values")
_MOST_CHARS: Final = 2**20
_MOST_PARTS: Final = 32
_QUOTED = re.compile(r""" "[^"\n]*"|'[^'\n]*' """, re.VERBOSE)
_PARSER_PLACE = re.compile(r" \(at ([^)]*)\)$")
_NO_KEY = re.compile(r"[^\w.\-]+")
_TABLES: Final = ("site", *(name for name in RECORDS if name != "info"))


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


def _column(value: object) -> object:
    return {"column": value} if isinstance(value, str) else value


def _texts(value: object) -> object:
    return [x if isinstance(x, str) else f"{x:g}" if isinstance(x, float) else str(x) for x in value] if isinstance(
        value, list
    ) and all(isinstance(x, (str, int, float)) and not isinstance(x, bool) for x in value) else value  # fmt: skip


def _scalar(value: object) -> object:
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if not isinstance(value, (str, bool, int, float)):
        raise ValueError("expected text, a number, a date, true or false")
    return value


Scalar = Annotated[str | bool | int | float, BeforeValidator(_scalar)]
Texts = Annotated[list[str], BeforeValidator(_texts)]


class FieldSource(_Strict):
    """Where a field's values come from: their column, and the unit of a bare number in it."""

    column: str
    unit: str = ""


class Keep(_Strict):
    """A condition on a row: its cell is in a list, is not in one, or is filled or empty."""

    column: str
    in_: Annotated[Texts | None, Field(alias="in")] = None
    not_in: Texts = []
    filled: bool | None = None

    @cached_property
    def wanted(self) -> frozenset[str]:
        """The values of `in`, to be asked for each row."""
        return frozenset(self.in_ or ())

    @cached_property
    def unwanted(self) -> frozenset[str]:
        """The values of `not_in`, to be asked for each row."""
        return frozenset(self.not_in)

    @model_validator(mode="after")
    def _states_something(self) -> Self:
        if self.in_ is None and not self.not_in and self.filled is None:
            raise ValueError("expected in, not_in or filled beside the column; as it is, every row is kept")
        return self


class TableMap(_Strict):
    """What the mapping file says of one table."""

    file: str = ""
    delimiter: Literal["", ",", ";", "\t", "|", ":"] = ""
    encoding: str = ""
    decimal: Literal["", ",", "."] = ""
    columns: dict[str, Annotated[FieldSource, BeforeValidator(_column)]] = {}
    values: dict[str, dict[str, Scalar]] = {}
    defaults: dict[str, Scalar] = {}
    constants: dict[str, Scalar] = {}
    ignore: list[str] = []
    keep: Annotated[list[Keep], BeforeValidator(lambda x: [x] if isinstance(x, dict) else x)] = []


class MappingFile(_Strict):
    """A whole mapping file; `name` is the file's own name, for problems."""

    name: str = ""
    ignore: list[str] = []
    tables: dict[str, TableMap] = {}

    def table(self, name: str) -> TableMap:
        """What it says of a table; a table it does not mention is read as it is."""
        return self.tables.get(name, _NOTHING)


_NOTHING: Final = TableMap()


def read_mapping(name: str, data: bytes) -> tuple[MappingFile, list[Problem]]:
    """Read a mapping file, with every problem in it; what is wrong is left out of the result."""
    try:
        document = tomllib.loads(_bounded(decode(data, "utf-8-sig")))
    except (tomllib.TOMLDecodeError, NotTextError, RecursionError, ValueError) as error:
        line = getattr(error, "line", 0)
        words, place = _parted(str(error) or "nested too deeply")
        where = Where(name, pointer=f"line {line}" if line else place)
        return MappingFile(name=name), [Problem(where, "", "", f"expected a mapping file in TOML; {words}")]
    problems: list[Problem] = []
    named = _named_values(name, document.get("values", {}), problems)
    tables: dict[str, TableMap] = {}
    for table, content in document.items():
        if table in _TABLES:
            tables[table] = _table(name, table, content, named, problems)
        elif table not in _RESERVED:
            known = offer(table, [*_TABLES, *_RESERVED])
            problems.append(Problem(Where(name, pointer=table), "", "", f"not the name of a table; {known}"))
    ignore = document.get("ignore", [])
    if not (isinstance(ignore, list) and all(isinstance(x, str) for x in ignore)):
        problems.append(Problem(Where(name, pointer="ignore"), "", shorten(ignore), "expected a list of file names"))
        ignore = []
    return MappingFile(name=name, ignore=ignore, tables=tables), problems


def _bounded(text: str) -> str:
    """Text that a parser may have: one key of many thousand parts takes it gigabytes.

    Raises:
        ValueError: it is larger than any mapping file.
        NotTextError: a key has too many parts.
    """
    if len(text) > _MOST_CHARS:
        raise ValueError(f"expected at most {_MOST_CHARS} characters; this has {len(text)}")
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") > _MOST_PARTS:
            bare = _QUOTED.sub("q", line).replace(" ", "").replace("\t", "")
            if any(word.count(".") > _MOST_PARTS for word in _NO_KEY.split(bare)):
                raise NotTextError(f"expected a key of at most {_MOST_PARTS} parts", number)
    return text


def _parted(message: str) -> tuple[str, str]:
    """What the parser says, and where: it has that in brackets behind, `(at line 5, column 11)`."""
    found = _PARSER_PLACE.search(message)
    return (message[: found.start()], found[1]) if found else (message, "")


def _named_values(name: str, content: object, problems: list[Problem]) -> dict[str, Any]:
    if isinstance(content, dict) and all(isinstance(x, dict) for x in content.values()):
        return content
    problems.append(Problem(Where(name, pointer="values"), "", shorten(content), "expected tables of values"))
    return {}


def _table(file: str, table: str, content: object, named: Mapping[str, Any], problems: list[Problem]) -> TableMap:
    where = Where(file, pointer=table)
    if not isinstance(content, dict):
        problems.append(Problem(where, "", shorten(content), f"expected a table such as [{table}]"))
        return _NOTHING
    content = {**content, "values": _resolved(file, table, content.get("values", {}), named, problems)}
    problems += _unknown_fields(file, table, content)
    try:
        return TableMap.model_validate(content)
    except ValidationError as error:
        for item in error.errors(include_url=False):
            pointer = ".".join([table, *(str(x) for x in item["loc"] if "[" not in str(x))])
            seen = "" if isinstance(item["input"], (dict, list)) else shorten(item["input"])
            problems.append(Problem(Where(file, pointer=pointer), "", seen, _accepted(item)))
        return _NOTHING


def _accepted(item: Any) -> str:
    if item["type"] == "extra_forbidden":
        model = Keep if "keep" in item["loc"] else FieldSource if "columns" in item["loc"] else TableMap
        return f"not known here; {offer(str(item['loc'][-1]), [f.alias or n for n, f in model.model_fields.items()])}"
    return accepted(item, "", "")


def _resolved(file: str, table: str, values: object, named: Mapping[str, Any], problems: list[Problem]) -> object:
    """The translations of a table, those given by name looked up."""
    if not isinstance(values, dict):
        return values
    found = {}
    for name, content in values.items():
        if isinstance(content, str) and content not in named:
            place = Where(file, pointer=f"{table}.values.{name}")
            problems.append(
                Problem(place, "", content, f"expected the name of a table under [values]; {offer(content, named)}")
            )
            continue
        found[name] = named[content] if isinstance(content, str) else content
    return found


def _unknown_fields(file: str, table: str, content: Mapping[str, Any]) -> list[Problem]:
    known = fields_of("info" if table == "site" else table)
    problems = []
    for part in ("columns", "values", "defaults", "constants"):
        for name in content.get(part, {}) if isinstance(content.get(part, {}), dict) else ():
            if name not in known:
                wanted = f"not a field of {table.replace('_', ' ')}; {offer(name, known)}"
                problems.append(Problem(Where(file, pointer=f"{table}.{part}.{name}"), "", "", wanted))
    return problems
