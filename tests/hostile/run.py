"""One spoilt site through read, design, check and what is written; what counts as a failure, and what is only counted."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Final, Literal, NoReturn

from riserkit.checked import Checked
from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.set.write import write_set
from riserkit.errors import RiserkitError
from riserkit.model.problems import InputError, Problem
from riserkit.model.site import Site
from riserkit.pipeline import work_out
from riserkit.plugin.read import read_site
from riserkit.record.returns import read_returns, return_json
from riserkit.reports.findings import findings_json_parts, findings_table
from riserkit.reports.table import ReportTable, to_csv
from riserkit.results.import_site import import_documents
from riserkit.results.return_site import return_site
from riserkit.results.site_tables import site_tables
from riserkit.rules._shared.evaluate import INTERNAL_ERROR
from riserkit.starter.tables import write_starter

Depth = Literal["read", "check", "draw"]
HANGS_S: Final = 20.0
MOST_CHARS: Final = 1500
"""Of one line that is told."""
_NO_NUMBER: Final = re.compile(r"(?<![\w.'-])[-+]?(nan|inf|infinity)(?![\w'-])", re.IGNORECASE)
_BARE_NO_NUMBER: Final = re.compile(r"[-+]?(nan|inf|infinity)", re.IGNORECASE)
OF_A_FILE: Final = (
    "expected one file for ", "expected tables of one import; ",
    "not the name of a table; ", "expected a site in one format; ", "expected at least one opening; ",
    "expected a file that can be read: ", "expected a file; ", "expected at most 1048576 characters; ",
)  # fmt: skip
"""Beginnings of what is said of a file as a whole: no row would tell more."""


class HangsError(Exception):
    """A case took longer than any site of this size may."""


@dataclass(frozen=True)
class Outcome:
    """What became of one case: `failure` is empty when all is as it has to be.

    Args:
        failure: kind and place, so that equal causes read alike.
        seconds: from reading to the end, by the clock.
        grown_mib: by how much the process has grown beyond its largest size before.
        was_read: it came through reading.
        reached: how deep it went; `read` also when it was refused.
        unplaced: problems that name only a file, each without what it says of this case.
    """

    failure: str
    seconds: float
    grown_mib: float = 0.0
    was_read: bool = False
    reached: Depth = "read"
    unplaced: tuple[str, ...] = ()


def run(files: dict[str, bytes], depth: Depth = "check") -> Outcome:
    """Read a site, and where it reads design and check it and write its tables, and draw it, as deep as is asked for."""
    start, size_kib = time.monotonic(), _size_kib()
    was_read, failure, unplaced = False, "", ()
    reached: Depth = "read"
    with tempfile.TemporaryDirectory() as place:
        for name, data in files.items():
            (Path(place) / name).write_bytes(data)
        try:
            with _at_most(HANGS_S * (4 if depth == "draw" else 1)):
                site = read_site(place)
                was_read = True
                if depth != "read":
                    failure = _beyond_reading(site, files, Path(place), draws=depth == "draw")
                    reached = depth
        except InputError as error:
            failure = next(_wrong_problems(error), "")
            unplaced = tuple(_unplaced(error.problems))
        except RiserkitError as error:
            failure = f"{type(error).__name__}: {str(error)[:80]}"
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            failure = f"{type(error).__name__} in {Path(last.filename).name}:{last.name}"
    seconds = time.monotonic() - start
    return Outcome(failure, seconds, (_size_kib() - size_kib) / 1024, was_read, reached, unplaced)


def _beyond_reading(site: Site, files: dict[str, bytes], place: Path, *, draws: bool) -> str:
    checked = work_out(site)
    states_none = any(_NO_NUMBER.search(data.decode("utf-8", "replace")) for data in files.values())
    failure = next(_wrong_outputs(checked, states_none), "")
    return failure if failure or not draws else next(_wrong_sheets(checked, place, states_none), "")


def _size_kib() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


@contextmanager
def _at_most(seconds: float) -> Iterator[None]:
    """Processor time, so that a busy machine makes no case hang."""

    def over(_number: int, _frame: FrameType | None) -> NoReturn:
        raise HangsError

    before = signal.signal(signal.SIGVTALRM, over)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def _wrong_problems(error: InputError) -> Iterator[str]:
    for line in str(error).splitlines():
        if not line.isprintable():
            yield "a line that commands a terminal"
        if len(line) > MOST_CHARS:
            yield "a line without end"
    for problem in error.problems:
        if not problem.where.file:
            yield "a problem without a file"
        if problem.column and not (problem.where.row or problem.where.pointer):
            yield "a problem with a column and no row"
        if not problem.accepted:
            yield "a problem that says not what would do"
        if re.search(r"Error\b|pydantic|<class|object at 0x|[Ii]nput should|known: (;|$)", problem.accepted):
            yield "a problem in words of a library"


def _unplaced(problems: tuple[Problem, ...]) -> Iterator[str]:
    """Problems that name neither a row nor a place in a document, but for those of a file as a whole."""
    for problem in problems:
        if not problem.where.row and not problem.where.pointer and not problem.accepted.startswith(OF_A_FILE):
            yield re.sub(r"\d+|'[^']*'|[\w.]+\.csv", "#", problem.accepted)[:60]


def _wrong_outputs(checked: Checked, states_none: bool) -> Iterator[str]:
    for finding in checked.findings:
        if any(v is not None and not math.isfinite(v) for v in (finding.value, finding.limit, finding.margin)):
            yield f"a number that is none in {finding.rule}"
        if finding.about == INTERNAL_ERROR:
            yield f"rule {finding.rule} broke off: {finding.message[:80]}"
        if not "".join((finding.message, finding.remedy)).replace("\u200d", "").isprintable():
            yield f"a finding of {finding.rule} that commands a terminal"
        if len(finding.message) > MOST_CHARS:
            yield f"a message without end of {finding.rule}"
    json.loads("".join(findings_json_parts(checked.design.site, checked.findings)), parse_constant=_refuse)
    for table in (*site_tables(checked), findings_table(checked.findings)):
        yield from _wrong_table(table, states_none)


def _wrong_table(table: ReportTable, states_none: bool) -> Iterator[str]:
    text = to_csv(table)
    rows = list(csv.reader(io.StringIO(text)))
    if [len(row) for row in rows] != [len(table.columns)] * (len(table.rows) + 1):
        yield f"table {table.name} reads back otherwise"
    for row in table.rows:
        for column, cell in zip(table.columns, row, strict=True):
            if isinstance(cell, float) and not math.isfinite(cell):
                yield f"a number that is none in {table.name}, {column}"
            if not states_none and isinstance(cell, str) and _NO_NUMBER.search(cell):
                yield f"words of a number that is none in {table.name}, {column}"
    for row in rows:
        for cell in row:
            if cell.lstrip(" ").startswith(("=", "@", "＝", "＠", "\t", "\r")):
                yield f"a formula in {table.name}"


def _wrong_sheets(checked: Checked, place: Path, states_none: bool) -> Iterator[str]:
    folder = place / "drawn"
    folder.mkdir()
    done = write_set(checked, folder, SetOptions(workers=1))
    for sheet in done.sheets:
        if sheet.path.parent != folder or not sheet.path.is_file():
            yield "a sheet outside its folder"
        text = sheet.path.read_text("utf-8", "replace")
        if not states_none and re.search(r"^\s*[-+]?(nan|inf)\s*$", text, re.IGNORECASE | re.MULTILINE):
            yield f"a number that is none on a {sheet.kind} sheet"


def _refuse(name: str) -> NoReturn:
    raise ValueError(f"{name} in the findings")


def run_import(name: str, data: bytes) -> Outcome:
    """Import one spoilt document into a new site, and again, as the next version is."""
    return _taken(name, data, lambda path, place: _imported(path, place / "site"))


def run_return(name: str, data: bytes) -> Outcome:
    """Take one spoilt file of a crew into the record of a starting site."""
    return _taken(name, data, _returned)


def _taken(name: str, data: bytes, take: Callable[[Path, Path], str]) -> Outcome:
    start, size_kib, failure, was_read = time.monotonic(), _size_kib(), "", False
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / name
        path.write_bytes(data)
        try:
            with _at_most(HANGS_S):
                failure = take(path, Path(place))
                was_read = True
        except InputError as error:
            failure = next(_wrong_problems(error), "")
            if "is left out" in str(error):
                failure = f"a reader broke off: {str(error).partition('is left out: ')[2][:80]}"
        except RiserkitError as error:
            failure = "" if str(error).isprintable() else "a line that commands a terminal"
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            failure = f"{type(error).__name__} in {Path(last.filename).name}:{last.name}"
    return Outcome(failure, time.monotonic() - start, (_size_kib() - size_kib) / 1024, was_read)


def _imported(path: Path, site: Path) -> str:
    first = import_documents([path], site)
    tables = {one.name: one.read_bytes() for one in site.glob("*.csv")}
    for line in first.lines:
        if len(line.text) > MOST_CHARS:
            return "a line without end"
    for name, table in tables.items():
        rows = list(csv.reader(io.StringIO(table.decode("utf-8"), newline="")))
        for row in rows:
            if any(cell.lstrip(" ").startswith(("=", "@", "＝", "＠", "\t", "\r")) for cell in row):
                return f"a formula in {name}"
            numbers = [
                cell for cell, column in zip(row, rows[0], strict=False) if column.endswith(("_m", "_deg", "_min"))
            ]
            if any(_BARE_NO_NUMBER.fullmatch(cell) for cell in numbers):
                return f"a number that is none in {name}"
    import_documents([path], site)
    again = {one.name: one.read_bytes() for one in site.glob("*.csv")}
    return "" if again == tables else "the same document changes what it made"


def _returned(path: Path, place: Path) -> str:
    write_starter(place / "site")
    return_site(place / "site", [path])
    for found in read_returns(place / "site"):
        json.loads(return_json(found), parse_constant=_refuse)
    return ""
