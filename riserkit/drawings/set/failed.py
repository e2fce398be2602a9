"""In place of a sheet that cannot be drawn: its frame, and that nothing may be built from it. The others are drawn."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import partial
from typing import Final, NoReturn

from riserkit.circuits.errors import failure_words
from riserkit.design import Design
from riserkit.drawings.door.detail import draw_composed
from riserkit.drawings.door.sheet import Contents, compose, sheet_sizes
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import BlockError, DrawingError, FontError
from riserkit.drawings.setting.frames import Sheet, set_frames, set_title, sheet_canvas
from riserkit.errors import visible
from riserkit.holds import Banner

HEADING: Final = "HOLD - NOT DRAWN"
OF_ALL: Final = (BlockError, FontError, OSError, MemoryError)
"""What no other sheet could be drawn with either: told to whoever asked, and the set is not written."""
_MOST_WORDS: Final = 300
_log = logging.getLogger("riserkit.drawings")


def drawn_or_held(design: Design, sheet: Sheet, info: DrawingInfo) -> tuple[Canvas, str]:
    """A sheet drawn; where that fails, one of the same name that says so, and why it failed.

    Args:
        design: the whole design.
        sheet: to draw.
        info: see there.

    Raises:
        DrawingError: what fails would fail on every sheet: a block, the font, or the frame itself.
    """
    try:
        return sheet.draw(), ""
    except OF_ALL:
        raise
    except Exception as error:  # whatever is wrong with one sheet, the others are drawn
        why = _words(error)
        _log.warning("%s, %s, is not drawn: %s", sheet.sheet_id, visible(sheet.title), why)
        remedy = (
            "Build nothing from it." if isinstance(error, DrawingError) else "Report it with the site that caused it."
        )
        return _held(design, sheet, info, f"{why[:1].upper()}{why[1:].rstrip('.')}. {remedy}"), why


def failing(error: Exception) -> Callable[[], Canvas]:
    """What draws a sheet that could not even be planned: it raises what went wrong then."""
    return partial(_raise, error)


def _raise(error: Exception) -> NoReturn:
    raise error


def _words(error: Exception) -> str:
    """A limit of drawing in its own words; anything else is a fault of ours."""
    text = " ".join(visible(str(error) if isinstance(error, DrawingError) else failure_words(error)).split())
    if not isinstance(error, DrawingError):
        text = f"internal error: {text}"
    return text if len(text) <= _MOST_WORDS else f"{text[:_MOST_WORDS]}..."


def _held(design: Design, sheet: Sheet, info: DrawingInfo, text: str) -> Canvas:
    site = design.site
    title = set_title(site, sheet.sheet_id, sheet.title, "Not drawn")
    banner = Banner(HEADING, text, hold=True)
    contents = Contents(None, None, (), site.info.unit_system, banner, ())
    composed = compose(set_frames(site, sheet_sizes(site.info), title), contents)
    canvas = sheet_canvas(site, composed.frame, info)
    draw_composed(canvas, composed, f"sheet:{sheet.sheet_id}")
    return canvas
