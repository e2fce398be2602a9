"""A folder of tables as a raw site: finds the files, reads each, gathers every problem."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from riserkit.model.assemble import TABLES
from riserkit.model.problems import Problem, Where, shorten
from riserkit.model.raw import OUTSIDE, RawSite
from riserkit_csv.columns import known_names
from riserkit_csv.decode import NotTextError, decode
from riserkit_csv.folder import SUFFIXES, Folder, list_folder, outside_problems, read_bytes
from riserkit_csv.info import KEYS, extract_info
from riserkit_csv.mapping import MappingFile, read_mapping
from riserkit_csv.records import Extract, extract
from riserkit_csv.table import CsvTable, read_table

MAPPING_NAME: Final = "mapping.toml"


def claims(path: Path, options: Mapping[str, str]) -> bool:
    """Whether a path is this plugin's: a folder with tables or a mapping file, or a single table by mistake."""
    if path.is_file():
        return path.suffix.lower() in SUFFIXES
    try:
        names = [entry.name.lower() for entry in path.iterdir()]
    except OSError:
        return False
    return bool(options.get("mapping")) or any(n.endswith(SUFFIXES) or n == MAPPING_NAME for n in names)


def read_folder(path: Path, options: Mapping[str, str] | None = None) -> RawSite:
    """Read every table of a folder.

    Args:
        path: the folder.
        options: `mapping` is a mapping file elsewhere, else `mapping.toml` in the folder is looked for; with `outside`
            tables may lie outside the folder.
    """
    options = options or {}
    place = Where(path.name)
    if path.is_file():
        wanted = "expected the folder that holds the tables; this is one table"
        return RawSite(None, {}, (Problem(place, "", "", wanted),), place)
    problems: list[Problem] = []
    mapping = _mapping(path, options, problems)
    if problems:
        # Without its mapping a foreign list is all wrong: hundreds of lines would hide the one that matters.
        return RawSite(None, {}, tuple(problems), Where("openings.csv"))
    folder = list_folder(path, mapping, outside=bool(options.get(OUTSIDE)))
    info, found = extract_info(_table("site", folder, mapping, problems), mapping)
    problems += [*folder.problems, *found]
    got = _extracts(folder, mapping, problems)
    tables = {name: extracted.records for name, extracted in got.items()}
    problems += [problem for extracted in got.values() for problem in extracted.problems]
    notes = tuple(note for extracted in got.values() for note in extracted.notes)
    return RawSite(info, tables, tuple(problems), Where("openings.csv"), notes)


def _extracts(folder: Folder, mapping: MappingFile, problems: list[Problem]) -> dict[str, Extract]:
    tables = {name: _table(name, folder, mapping, problems) for name in TABLES}
    return {name: extract(name, table, mapping) for name, table in tables.items() if table is not None}


def _mapping(path: Path, options: Mapping[str, str], problems: list[Problem]) -> MappingFile:
    stated = options.get("mapping", "")
    file = Path(stated) if stated else path / MAPPING_NAME
    if not stated and not file.exists():
        return MappingFile(name=MAPPING_NAME)
    if not stated and not options.get(OUTSIDE):
        problems += outside_problems(file, path, Where(file.name))
    data = None if problems else read_bytes(file, Where(file.name), problems)
    if data is None:
        return MappingFile(name=file.name)
    mapping, found = read_mapping(file.name, data)
    problems += found
    return mapping


def _table(name: str, folder: Folder, mapping: MappingFile, problems: list[Problem]) -> CsvTable | None:
    file = folder.files.get(name)
    settings = mapping.table(name)
    stated = Where(mapping.name, pointer=f"{name}.file") if settings.file else None
    data = read_bytes(file, stated or Where(file.name), problems, shorten(settings.file)) if file else None
    if file is None or data is None:
        return None
    try:
        text = decode(data, settings.encoding)
    except NotTextError as error:
        where = Where(file.name, pointer=f"line {error.line}" if error.line else "")
        if settings.encoding and not error.line:
            where = Where(mapping.name, pointer=f"{name}.encoding")
        problems.append(Problem(where, "", "", str(error)))
        return None
    known = frozenset(KEYS) if name == "site" else known_names(name, settings)
    delimiter = settings.delimiter or ("\t" if file.suffix.lower() == ".tsv" else "")
    return read_table(file.name, text, known, delimiter)
