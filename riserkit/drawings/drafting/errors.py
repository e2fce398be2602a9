"""Errors of the drawings: each says what was seen and what would do."""

from __future__ import annotations

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
