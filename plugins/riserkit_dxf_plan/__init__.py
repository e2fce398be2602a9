"""Reads floor plans (.dxf): doors by their swings and blocks, walls, rooms, tags, with the drawing's units checked against its doors."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from riserkit.plugin.hooks import hookimpl

if TYPE_CHECKING:
    from riserkit.importing.facts import Facts
    from riserkit.importing.settings import DocumentSettings


@hookimpl
def document_formats() -> str:
    """What this plugin reads."""
    return "a floor plan (.dxf)"


@hookimpl
def read_document(path: Path, settings: DocumentSettings) -> Facts | None:
    """Read a floor plan, or None when the file is of another kind."""
    if path.suffix.lower() != ".dxf":
        return None
    from riserkit_dxf_plan.plan import read_plan  # noqa: PLC0415  loaded only when there is something to read

    return read_plan(path, settings)
