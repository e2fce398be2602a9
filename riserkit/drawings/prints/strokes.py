"""From a drawing's sheet to strokes and filled shapes: what all pictures and prints share.

The sheet is read from its file, so that a picture shows what the file holds, and drawn at true scale: coordinates
handed on are millimetres of paper from the sheet's lower left corner.
"""

from __future__ import annotations

import logging
import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from ezdxf.addons.drawing.backend import BackendInterface
from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration, ImagePolicy
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.addons.drawing.properties import BackendProperties, Properties, RenderContext
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.fonts import fonts

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.errors import UNREADABLE, DrawingError, FontError, why_unreadable
from riserkit.drawings.dxf.reading import check_bounds, paper_of, read_drawing, workable
from riserkit.drawings.dxf.text import FONT_FILE, font_path
from riserkit.errors import visible

_PAPER: Final = "#ffffff"
_BEHIND: Final = "#{:02x}{:02x}{:02x}".format(*layers.BACKGROUND_RGB)
_NAMED: Final = 5
_MOST_CHARS: Final = 80
_log = logging.getLogger("riserkit.drawings")
FLATNESS_MM: Final = 0.02
"""Curves deviate from their chords by no more than this."""


@dataclass(frozen=True)
class PlottedSheet:
    """A sheet read for plotting: its document, its paperspace layout, and its size."""

    doc: Drawing
    layout: Any
    width_mm: float
    height_mm: float

    @property
    def name(self) -> str:
        """Name of the layout."""
        return str(self.layout.name)


class SheetPipeline(RenderPipeline2d):
    """Draws views into the model with line types of the paper's own size, and masks in the paper's white."""

    _is_mask = False

    def enter_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        """Note whether what comes is a mask."""
        self._is_mask = entity.dxftype() == "WIPEOUT"
        super().enter_entity(entity, properties)

    def get_backend_properties(self, properties: Properties) -> BackendProperties:
        """Colour and weight as printed."""
        found = super().get_backend_properties(properties)
        if self._is_mask:
            return found._replace(color=_PAPER)
        # What lies behind a plan is told from what stands on it only by its grey.
        return found._replace(color=_BEHIND) if properties.color[:7] == _BEHIND else found

    def get_vp_ltype_scale(self) -> float:
        """Lines are broken after they have come onto the paper, so that the view's scale has no part in it any more."""
        return 1.0


@cache
def _register_font() -> None:
    """Let the drawing add-on draw with the shipped font, whatever font of that name the system has."""
    fonts.font_manager.scan_folder(font_path().parent)
    if not fonts.font_manager.has_font(FONT_FILE):
        raise FontError(f"the font {FONT_FILE} cannot be used for pictures; install riserkit again")


def read_sheet(path: Path) -> PlottedSheet:
    """The first paperspace layout of a drawing.

    Raises:
        DrawingError: the file cannot be read, or its layout has no size.
    """
    try:
        doc = read_drawing(path)
    except UNREADABLE as error:
        raise DrawingError(f"the drawing {path} cannot be read ({why_unreadable(error)})") from error
    layout: Any = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    width, height = paper_of(doc, layout.name)
    with workable(path.name, "printed"):
        check_bounds(doc, (doc.modelspace(), layout))
    return PlottedSheet(doc, layout, width, height)


def configuration() -> Configuration:
    """White paper, layers that plot only, line weights as they are, all black as the table of plot styles has it, backgrounds grey."""
    return Configuration(
        background_policy=BackgroundPolicy.WHITE,
        color_policy=ColorPolicy.BLACK,
        max_flattening_distance=FLATNESS_MM,
        min_lineweight=0.05 / 25.4 * 300,
        # A drawing may name any file of the machine as a picture: none is ever opened.
        image_policy=ImagePolicy.MISSING,
    )


def plot(sheet: PlottedSheet, backend: BackendInterface) -> None:
    """Draw a sheet with one of the add-on's backends, text as outlines."""
    _register_font()
    with _same_hatching():
        UniversalFrontend(_context(sheet), SheetPipeline(backend), config=configuration()).draw_layout(sheet.layout)


def plot_through(sheet: PlottedSheet, pipeline: RenderPipeline2d) -> None:
    """Draw a sheet through a pipeline of one's own, which may take text as text."""
    _register_font()
    with _same_hatching():
        UniversalFrontend(_context(sheet), pipeline, config=configuration()).draw_layout(sheet.layout)


def _context(sheet: PlottedSheet) -> RenderContext:
    entities: list[Any] = [e for space in (sheet.doc.modelspace(), sheet.layout) for e in space.query("IMAGE")]
    pictures = [entity.image_def for entity in entities]
    names = sorted({str(picture.dxf.filename) if picture else "without a file" for picture in pictures})
    if names:
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        shown = ", ".join(name[-_MOST_CHARS:] for name in names[:_NAMED])
        _log.warning("%s: pictures are printed as frames: %s%s", visible(sheet.name), visible(shown), more)
    return RenderContext(sheet.doc, export_mode=True)


@contextmanager
def _same_hatching() -> Iterator[None]:
    """The add-on shifts hatch lines by a random hair; make that the same each time, and leave the caller's dice alone."""
    before = random.getstate()
    random.seed(0)
    try:
        yield
    finally:
        random.setstate(before)
