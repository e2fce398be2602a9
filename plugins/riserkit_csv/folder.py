"""Which file of a folder holds which table, and which files are none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.raw import ASK_OUTSIDE, BROKEN_OFF, is_outside
from riserkit.model.tables import RECORDS
from riserkit_csv.mapping import MappingFile
from riserkit_csv.table import plain

NAMES: Final = ("site", *(name for name in RECORDS if name != "info"))
SUFFIXES: Final = (".csv", ".tsv")


@dataclass(frozen=True, slots=True)
class Folder:
    """The file of each table that has one."""

    files: Mapping[str, Path]
    problems: tuple[Problem, ...]


def read_bytes(path: Path, where: Where, problems: list[Problem], seen: str = "") -> bytes | None:
    """A file's bytes, or None and a problem when it cannot be read; `where` is what names it, `seen` the name there."""
    try:
        if path.exists() and not path.is_file():
            problems.append(Problem(where, "", seen, "expected a file; this is something else"))
            return None
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        problems.append(Problem(where, "", seen, f"expected a file that can be read: {reason}"))
        return None


def outside_problems(file: Path, folder: Path, where: Where, seen: str = "") -> list[Problem]:
    """A problem when a file, links followed, lies outside the site's folder; nothing of it is read then."""
    try:
        outside = is_outside(file, folder)
    except (OSError, ValueError) as error:
        return [
            Problem(where, "", seen, f"expected a file that can be read: {getattr(error, 'strerror', None) or error}")
        ]
    wanted = f"expected a file of the site's folder, and this lies outside; {ASK_OUTSIDE}"
    return [Problem(where, "", seen, wanted)] if outside else []


def list_folder(path: Path, mapping: MappingFile, *, outside: bool = False) -> Folder:
    """Find the tables of a folder, first those that the mapping file names.

    Args:
        path: the folder.
        mapping: what its mapping file says.
        outside: files that lie outside the folder may be read too.
    """
    files = {name: path / mapping.table(name).file for name in NAMES if mapping.table(name).file}
    stated_names = {file.name for file in files.values()}
    problems: list[Problem] = []
    for entry in sorted(path.iterdir()):
        if entry.suffix.lower() not in SUFFIXES or entry.name in mapping.ignore:
            continue
        name = plain(entry.stem)
        if name not in NAMES:
            problems += [] if entry.name in stated_names else [_unknown(entry.name, name)]
        elif files.setdefault(name, entry) != entry:
            problems.append(_second(entry.name, name, mapping.table(name).file or files[name].name, mapping))
    for name, file in list(files.items()) if not outside else ():
        stated = mapping.table(name).file
        where = Where(mapping.name, pointer=f"{name}.file") if stated else Where(file.name)
        found = outside_problems(file, path, where, shorten(stated))
        if found:
            problems += found
            del files[name]
    if (path / BROKEN_OFF).is_file():
        wanted = "expected tables of one import; one is under way or was broken off here: wait for it, or import again to complete it"
        problems.append(Problem(Where(BROKEN_OFF), "", "", wanted))
    document = path / "site.json"
    if document.exists() and document.name not in mapping.ignore:
        wanted = "expected a site in one format; there are tables beside this document, so take one away"
        problems.append(Problem(Where(document.name), "", "", wanted))
    return Folder(files, tuple(problems))


def _second(file: str, table: str, first: str, mapping: MappingFile) -> Problem:
    if mapping.table(table).file:
        wanted = f"expected one file for {table}; {mapping.name} says {first}, so name this one under ignore"
    else:
        wanted = f"expected one file for {table}; {first} is one"
    return Problem(Where(file), "", "", wanted)


def _unknown(file: str, name: str) -> Problem:
    hint = offer(name, NAMES)
    remedy = "else take it out of the folder, or name it under 'ignore' in mapping.toml"
    return Problem(Where(shorten(file)), "", "", f"not the name of a table; {hint}; {remedy}")
