"""Sheets drawn ahead: to know what a sheet says it must be drawn, and what an issue marks on it follows from what it says.

Which revisions stand in its title block is known last. A sheet is drawn as they most likely are, and is drawn again where
they are otherwise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.document import write_whole
from riserkit.drawings.legibility.sheet import inspect_document
from riserkit.drawings.legibility.values import SheetInspection
from riserkit.drawings.revisions.clouds import draw_revisions
from riserkit.drawings.revisions.values import SheetContent, SheetRevisions
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.setting.frames import set_title
from riserkit.model.site import Site


@dataclass(frozen=True, slots=True)
class Ahead:
    """How to draw ahead.

    Args:
        folder: takes the drawings; whoever asks takes it away.
        revised: what is clouded and marked with deltas on a sheet that says this; None where nothing is.
        inspects: inspect each sheet as it has been drawn.
    """

    folder: Path
    revised: Callable[[str, SheetContent], SheetRevisions | None]
    inspects: bool = False


@dataclass(frozen=True, slots=True)
class DrawnAhead:
    """A sheet that is drawn, and what it was drawn with that may still change."""

    path: Path
    heading: object
    revised: SheetRevisions | None
    inspection: SheetInspection | None

    def serves(self, site: Site, sheet_id: str, revised: SheetRevisions | None) -> bool:
        """Whether the sheet would be drawn so again."""
        return self.heading == heading(site, sheet_id) and self.revised == revised


def heading(site: Site, sheet_id: str) -> object:
    """All that a sheet's frame bears of the issues of a site: date, status, and revisions, those left room for included."""
    lines = [(r.index, r.date, r.description, r.name, r.changes(sheet_id)) for r in site.revisions]
    return lines, set_title(site, sheet_id, "", "")


def draw_ahead(site: Site, job: SheetJob, canvas: Canvas, content: SheetContent, ahead: Ahead) -> DrawnAhead:
    """Write a sheet that has been drawn, with what is marked on it.

    Args:
        site: that it was drawn from.
        job: the sheet.
        canvas: the sheet, drawn without marks.
        content: what it says.
        ahead: see there.

    Raises:
        DrawingError: the folder cannot be written.
    """
    revised = ahead.revised(job.sheet_id, content)
    if revised is not None:
        draw_revisions(canvas, revised, is_plan=job.kind == "plan")
    path = ahead.folder / job.file_name
    write_whole(path, canvas.to_bytes())
    inspection = inspect_document(canvas.doc) if ahead.inspects else None
    return DrawnAhead(path, heading(site, job.sheet_id), revised, inspection)
