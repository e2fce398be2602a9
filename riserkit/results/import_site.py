"""Documents imported into a site's folder: read, merged with what the user made of the last import, and written whole or not at all."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from riserkit.errors import RiserkitError
from riserkit.importing.facts import Facts
from riserkit.importing.gather import Gathered, gather
from riserkit.importing.last import RECORD, LastImport, last_text, read_last
from riserkit.importing.levels import KnownLevel
from riserkit.importing.merge import KEYS, Merged, Sources, merge
from riserkit.importing.proposal import draft
from riserkit.importing.report import OPEN, ReportLine, report_lines
from riserkit.importing.row import Row
from riserkit.importing.rows import Imported, rows_of
from riserkit.importing.settings import SETTINGS, ImportSettings, read_settings
from riserkit.importing.texts import EditableTable, new_table, plain_heading, read_text
from riserkit.model.parts import Part
from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.raw import is_outside
from riserkit.model.stock import SHIPPED_STOCK
from riserkit.model.tables import RECORDS
from riserkit.plugin.documents import read_documents
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.read import read_raw
from riserkit.plugin.stock import whole_stock
from riserkit.reports.table import ReportTable, to_csv
from riserkit.results.replace_files import finish, replace_files

FOLDER: Final = "import"
"""Where record and report stand within the site."""
BACKGROUNDS: Final = "backgrounds"
_SUFFIXES: Final = (".csv", ".tsv")
_TABLES: Final = (*KEYS, "walls")
_COLUMNS: Final = ("kind", "text", "at", "table", "row", "column", "value", "was", "yours", "inferred_from", "remedy")


@dataclass(frozen=True, slots=True)
class ImportDone:
    """What an import did, or would do.

    Args of note:
        lines: the whole report.
        files: what was written, by path within the site; or would have been.
        settings_draft: a first draft of `import.toml`.
    """

    lines: tuple[ReportLine, ...]
    files: tuple[str, ...]
    settings_draft: str

    @property
    def is_open(self) -> bool:
        """Whether anything waits for an answer."""
        return any(line.kind in OPEN for line in self.lines)


@dataclass(frozen=True, slots=True)
class _Folder:
    """A site's folder as it stands: its tables by name, and the bytes of every file that may be written."""

    path: Path
    tables: Mapping[str, EditableTable] = field(default_factory=dict)
    files: Mapping[str, str] = field(default_factory=dict)
    seen: Mapping[str, bytes | None] = field(default_factory=dict)
    others: Sequence[str] = ()
    settings: ImportSettings = field(default_factory=ImportSettings)
    last: LastImport = field(default_factory=LastImport)


def import_documents(
    sources: Sequence[Path], site: Path, *, dry_run: bool = False, propose: bool = False, plugins: Plugins | None = None
) -> ImportDone:
    """Import documents into a site.

    Args:
        sources: plans, models and lists.
        site: a folder of tables, or where one is to be.
        dry_run: write nothing.
        propose: write only a first draft of `import.toml`.
        plugins: those to ask; those installed when left out.

    Raises:
        RiserkitError: a document or the site cannot be read, or the folder cannot be written. Nothing is written then.
    """
    asked = plugins or installed_plugins()
    if not dry_run:
        finish(site)
    folder = _read_folder(site)
    documents = read_documents(sources, folder.settings, asked)
    gathered = gather(documents, folder.settings, tuple(_known_levels(folder.tables.get("levels"))))
    settings_draft = draft(documents, gathered)
    if propose:
        return ImportDone(_proposed(folder, settings_draft, dry_run=dry_run), (SETTINGS,), settings_draft)
    imported = rows_of(gathered, folder.settings, _parts(asked), _earlier(folder.last))
    kinds = {facts.document: "list" if facts.kind == "list" else "drawn" for facts in documents}
    digests = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sources}
    merged = merge(imported, folder.tables, folder.last, Sources(kinds, digests), folder.others)
    lines = (*_unused(folder, documents, gathered), *report_lines(documents, imported, merged))
    files = {**_files(folder, merged, imported, lines), **dict(_backgrounds(sources, merged))}
    if not dry_run:
        replace_files(site, files, _as_read(folder, files))
    return ImportDone(tuple(lines), tuple(sorted(files)), settings_draft)


def _as_read(folder: _Folder, files: Mapping[str, bytes]) -> dict[str, bytes | None]:
    """Tables and record as they were read, none where there was none: what came since is another's."""
    named = {name for name in files if "/" not in name or name == f"{FOLDER}/{RECORD}"}
    return {name: folder.seen.get(name) for name in named}


def _read_folder(site: Path) -> _Folder:
    """The site's folder.

    Raises:
        InputError: it is no folder of tables that can be imported into.
    """
    if not site.exists():
        return _Folder(site)
    if not site.is_dir():
        raise InputError(
            [Problem(Where(site.name), "", "", "expected a folder of tables to import into; this is a file")]
        )
    if (site / "site.json").exists():
        wanted = "expected a site of tables to import into; this one is a JSON document"
        raise InputError([Problem(Where(f"{site.name}/site.json"), "", "", wanted)])
    tables: dict[str, EditableTable] = {}
    files: dict[str, str] = {}
    seen: dict[str, bytes | None] = {}
    others: list[str] = []
    for own in (SETTINGS, "mapping.toml", FOLDER, f"{FOLDER}/{RECORD}", BACKGROUNDS):
        if is_outside(site / own, site):
            wanted = "expected a place in the site's folder; this is a link out of it"
            raise InputError([Problem(Where(own), "", "", wanted)])
    mapped = _mapped(site)
    for path in sorted(site.iterdir()):
        name = plain_heading(path.stem)
        if path.suffix.lower() not in _SUFFIXES:
            continue
        if not path.is_file():
            if name in _TABLES:
                raise InputError(
                    [Problem(Where(path.name), "", "", "expected a table; this is no file, so move it away")]
                )
            continue
        if name not in _TABLES:
            others += _cells(path) if name in RECORDS else []
            continue
        if name in mapped:
            wanted = (
                f"expected tables with riserkit's own columns to import into; mapping.toml reads {name} in another way"
            )
            raise InputError([Problem(Where(path.name), "", "", wanted)])
        if is_outside(path, site):
            wanted = "expected a table in the site's folder; this is a link out of it"
            raise InputError([Problem(Where(path.name), "", "", wanted)])
        data = path.read_bytes()
        tables[name], files[name], seen[path.name] = read_text(name, path.name, data), path.name, data
    settings = text_of(site / SETTINGS)
    record = text_of(site / FOLDER / RECORD)
    seen[f"{FOLDER}/{RECORD}"] = record.encode() if record is not None else None
    return _Folder(
        site, tables, files, seen, others,
        read_settings(settings) if settings is not None else ImportSettings(),
        read_last(record, f"{FOLDER}/{RECORD}") if record is not None else LastImport(),
    )  # fmt: skip


def text_of(path: Path) -> str | None:
    """What stands in a file of the folder; None where there is none.

    Raises:
        InputError: it is no file, or no text.
    """
    if path.exists() and not path.is_file():  # a pipe is never opened: that might wait for ever
        raise InputError([Problem(Where(path.name), "", "", "expected a file that can be read: this is none")])
    try:
        return path.read_text("utf-8")
    except (FileNotFoundError, NotADirectoryError):
        return None
    except UnicodeDecodeError:
        raise InputError([Problem(Where(path.name), "", "", "expected text in UTF-8")]) from None


def _mapped(site: Path) -> frozenset[str]:
    text = text_of(site / "mapping.toml")
    try:
        return frozenset(tomllib.loads(text)) if text is not None else frozenset()
    except tomllib.TOMLDecodeError as error:
        raise InputError([Problem(Where("mapping.toml"), "", "", f"expected TOML; {error}")]) from None


def _cells(path: Path) -> Iterator[str]:
    """What stands in the cells of another table, roughly: only whether the name of a row is among them matters."""
    text = path.read_bytes().decode("utf-8", "replace")
    for line in text.splitlines():
        for cell in line.replace(";", ",").replace("\t", ",").split(","):
            yield cell.strip().strip('"').strip()


def _known_levels(table: EditableTable | None) -> Iterator[KnownLevel]:
    for row in table.rows() if table is not None else ():
        try:
            elevation_m: float | None = float(table.get(row, "elevation_m").replace(",", ".")) if table else None
        except ValueError:
            elevation_m = None
        yield KnownLevel(table.get(row, "id") if table else "", table.get(row, "name") if table else "", elevation_m)


def _parts(plugins: Plugins) -> Sequence[Part]:
    return whole_stock(plugins).parts if plugins.implement("more_parts") else SHIPPED_STOCK.parts


def _earlier(last: LastImport) -> Mapping[str, str]:
    rows = last.tables.get("openings", ())
    return {row.identity: row.text("mark") or row.key for row in rows if row.identity}


def _unused(folder: _Folder, documents: Sequence[Facts], gathered: Gathered) -> Iterator[ReportLine]:
    """Settings that nothing answers to: a name that was mistyped would go unseen."""
    names = {facts.document for facts in documents} | set(folder.last.documents)
    for name in folder.settings.document:
        if name not in names:
            yield ReportLine(
                "left", f'{SETTINGS}: document."{name}" is none of those imported', SETTINGS, remedy="correct its name"
            )
    for name in folder.settings.doors.holds:
        if name not in names:
            text = f"{SETTINGS}: doors.holds: {name} is none of those imported"
            yield ReportLine("left", text, SETTINGS, remedy="correct its name")
    marks = {door.mark for door in (*gathered.doors, *gathered.unlisted)} | {d.identity for d in gathered.doors}
    for name in folder.settings.marks:
        if name not in marks:
            yield ReportLine(
                "left", f"{SETTINGS}: marks: no door is named {name!r}", SETTINGS, remedy="correct the name"
            )
    for facts in documents:
        for layer in folder.settings.of(facts.document).layers:
            if layer not in facts.layers:
                text = f"{SETTINGS}: {facts.document} has no layer {layer!r}"
                yield ReportLine("left", text, SETTINGS, remedy="correct the name")


def _proposed(folder: _Folder, text: str, *, dry_run: bool) -> tuple[ReportLine, ...]:
    if (folder.path / SETTINGS).exists():
        raise RiserkitError(
            f"{folder.path / SETTINGS} is there already; take it away to have a first draft, or use --dry-run to see it"
        )
    if not dry_run:
        replace_files(folder.path, {SETTINGS: text.encode()}, {SETTINGS: None})
    return ()


def _files(folder: _Folder, merged: Merged, imported: Imported, lines: Sequence[ReportLine]) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for name, table in merged.tables.items():
        file, data = folder.files.get(name, f"{name}.csv"), table.to_bytes()
        if folder.seen.get(file) != data:
            files[file] = data
    files[f"{FOLDER}/{RECORD}"] = last_text(merged.last).encode()
    report = ReportTable("report", _COLUMNS, tuple(tuple(getattr(line, c) for c in _COLUMNS) for line in lines))
    files[f"{FOLDER}/report.csv"] = to_csv(report).encode()
    files[f"{FOLDER}/report.json"] = report_json(lines).encode()
    out = _rows_table(merged.left_out)
    files[f"{FOLDER}/left-out.csv"] = out.to_bytes()
    columns = ["id", "level", "name", "x_m", "y_m"]
    proposals = new_table("closets", columns)
    for one in imported.proposals:
        proposals.add(one.cells)
    files[f"{FOLDER}/proposals.csv"] = proposals.to_bytes()
    return files


def _backgrounds(sources: Sequence[Path], merged: Merged) -> Iterator[tuple[str, bytes]]:
    """Copies of the plans that levels are drawn on: the site's folder holds all that its sheets need."""
    levels = merged.tables.get("levels")
    named = {levels.get(row, "background") for row in levels.rows()} if levels is not None else set()
    for path in sources:
        if f"{BACKGROUNDS}/{path.name}" in named:
            yield f"{BACKGROUNDS}/{path.name}", path.read_bytes()


def report_json(lines: Sequence[ReportLine]) -> str:
    """The report as JSON."""
    data = [{c: getattr(line, c) for c in _COLUMNS if getattr(line, c)} for line in lines]
    return json.dumps({"lines": data}, indent=1, ensure_ascii=False) + "\n"


def _rows_table(rows: Sequence[Row]) -> EditableTable:
    columns = list(dict.fromkeys(c for row in rows for c in row.cells)) or ["mark"]
    table = new_table("openings", columns)
    for row in rows:
        table.add({column: cell.text for column, cell in row.cells.items()})
    return table


def reading_problems(site: Path) -> tuple[str, ...]:
    """Why a site that was imported into cannot be checked yet; empty when it can."""
    try:
        from riserkit.model.assemble import assemble_site  # noqa: PLC0415 - only when asked

        assemble_site(read_raw(site), whole_stock(installed_plugins()))
    except InputError as error:
        return error.lines
    return ()
