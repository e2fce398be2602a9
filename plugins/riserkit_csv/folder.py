"""Which file of a folder holds which table, and what stands there that is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.tables import RECORDS
from riserkit_csv.mapping import MappingFile
from riserkit_csv.table import plain

NAMES: Final = ("site", *(name for name in RECORDS if name != "info"))
_SUFFIXES: Final = (".csv", ".tsv")


@dataclass(frozen=True, slots=True)
class Folder:
    """The file of each table that has one."""

    files: Mapping[str, Path]
    problems: tuple[Problem, ...]


def read_bytes(path: Path, name: str, problems: list[Problem]) -> bytes | None:
    """A file's bytes, or None and a problem when it cannot be read."""
    try:
        if path.exists() and not path.is_file():
            problems.append(Problem(Where(name), "", "", "expected a file; this is something else"))
            return None
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        problems.append(Problem(Where(name), "", "", f"expected a file that can be read: {reason}"))
        return None


def list_folder(path: Path, mapping: MappingFile) -> Folder:
    """Find the tables of a folder, first those that the mapping file names."""
    problems: list[Problem] = []
    files: dict[str, Path] = {}
    for name in NAMES:
        stated = mapping.table(name).file
        if stated:
            files[name] = path / stated
    stated_names = {file.name for file in files.values()}
    own: dict[str, Path] = {}
    for entry in sorted(path.iterdir()):
        name = plain(entry.stem)
        if entry.suffix.lower() not in _SUFFIXES or entry.name in mapping.ignore:
            continue
        if name not in NAMES:
            problems += [] if entry.name in stated_names else [_unknown(entry.name, name)]
        elif name in files and files[name].name == entry.name:
            continue
        elif name in files:
            wanted = (
                f"expected one file for {name}; {mapping.name} says {files[name].name}, so name this one under ignore"
            )
            problems.append(Problem(Where(entry.name), "", "", wanted))
        elif name in own:
            problems.append(
                Problem(Where(entry.name), "", "", f"expected one file for {name}; {own[name].name} is one")
            )
        else:
            own[name] = entry
    json = path / "site.json"
    if json.exists() and json.name not in mapping.ignore:
        wanted = "expected a site in one format; there are tables beside this document, so take one away"
        problems.append(Problem(Where(json.name), "", "", wanted))
    return Folder(files | own, tuple(problems))


def _unknown(file: str, name: str) -> Problem:
    hint = offer(name, NAMES)
    remedy = "else take it out of the folder, or name it under 'ignore' in mapping.toml"
    return Problem(Where(shorten(file)), "", "", f"not the name of a table; {hint}; {remedy}")
