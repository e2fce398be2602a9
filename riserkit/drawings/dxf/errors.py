"""Errors of the drawings: each says what was seen and what would do."""

from __future__ import annotations

from typing import Final

from ezdxf.lldxf.const import DXFError

from riserkit.errors import RiserkitError


class DrawingError(RiserkitError):
    """Something cannot be drawn as asked."""


class FontError(DrawingError):
    """The shipped font is missing or damaged."""


class TextError(DrawingError):
    """A text cannot be set in the room given, or not in one DXF entity."""


class BlockError(DrawingError):
    """A block is missing, unreadable, or its attributes are not the ones the drawing fills in."""


class SheetError(DrawingError):
    """A sheet size, a layout name or a content that no sheet can hold."""


class ContentError(ValueError):
    """A drawing that was read holds what no program that draws would write; the message says what, to a person."""


# What the drawing library raises at files that are cut off or spoilt, found by spoiling some thousands at random. Its
# reader promises OSError and DXFError alone; a broken file of a drafter's must never be a traceback.
UNREADABLE: Final = (
    OSError, DXFError, ValueError, OverflowError, LookupError, TypeError, AttributeError, AssertionError, StopIteration,
    RecursionError,
)  # fmt: skip


UNWORKABLE: Final = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, RecursionError, MemoryError)
"""What values raise that no program that draws would write: a view of height 0, a place that is no number."""
_MOST_WORDS: Final = 120


def why_unworkable(path: object, doing: str, error: BaseException) -> str:
    """What to tell of a drawing that was read and yet cannot be worked with."""
    name = "" if isinstance(error, ContentError) else f"{type(error).__name__}: "
    words = " ".join(f"{name}{error}".split())[:_MOST_WORDS]
    return (
        f"{path} cannot be {doing}, for it holds what no drawing has ({words}); repair the drawing and save "
        "it again, or take it out of the folder"
    )


def why_unreadable(error: Exception) -> str:
    """What an error of the drawing library says to a person: its own words, if they are meant for one."""
    told = isinstance(error, (OSError, DXFError, UnicodeError, ContentError)) and str(error)
    return told or "it is cut off or spoilt"
