"""Reads door lists as offices keep them: workbooks (.xlsx, .xlsm), open documents (.ods), and text tables (.csv, .tsv).

Title rows, merged cells, headings in two rows, section rows, repeated headings, totals and hardware sets are understood. Nothing in a
workbook is executed, and no link is followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from riserkit.plugin.hooks import hookimpl

if TYPE_CHECKING:
    from riserkit.importing.facts import Facts
    from riserkit.importing.settings import DocumentSettings
    from riserkit.model.raw import TextSheet
    from riserkit_xlsx.grid import Grid

_SUFFIXES = (".xlsx", ".xlsm", ".ods", ".csv", ".tsv")


@hookimpl
def document_formats() -> str:
    """What this plugin reads."""
    return "a list of doors (.xlsx, .xlsm, .ods, .csv, .tsv)"


@hookimpl
def read_document(path: Path, settings: DocumentSettings) -> Facts | None:
    """Read a list of doors, or None when the file is of another kind."""
    if path.suffix.lower() not in _SUFFIXES:
        return None
    from riserkit_xlsx.doors import read_list  # noqa: PLC0415  loaded only when there is something to read

    return read_list(path, settings)


@hookimpl
def read_sheets(path: Path) -> Sequence[TextSheet] | None:
    """The sheets of a workbook or a text table, or None when the file is of another kind."""
    if path.suffix.lower() not in _SUFFIXES:
        return None
    from riserkit.model.raw import TextSheet  # noqa: PLC0415
    from riserkit_xlsx.archive import refused  # noqa: PLC0415
    from riserkit_xlsx.doors import read_grids  # noqa: PLC0415  loaded only when there is something to read
    from riserkit_xlsx.grid import BEYOND  # noqa: PLC0415

    grids: list[Grid] = read_grids(path)
    for grid in grids:
        if grid.beyond:
            raise refused(path, f"expected nothing {BEYOND}; sheet {grid.name} has {grid.beyond} rows or cells there")
    lone = path.suffix.lower() in (".csv", ".tsv")
    return [TextSheet(path.stem if lone else g.name, g.rows, g.errors, lone, g.comments) for g in grids]
