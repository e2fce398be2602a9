"""The check that every text is as high as the least height."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.drawings.dxf.boxes import around
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM
from riserkit.drawings.legibility.text_over_text import quoted
from riserkit.drawings.legibility.values import Place, SheetShapes
from riserkit.standards.sheets import LETTERING

_ROUNDING_MM: Final = 1e-6


class TextTooSmall:
    """Every text is at least as high as the smallest nominal height of lettering.

    Why:
        A sheet is read at arm's length, in poor light, off a copy. What has no room at the least height belongs on
        another sheet.
    Measures:
        The height of the capitals of every text at plotted scale, that of its view and of its block counted in.
    Limit:
        1.8 mm, the smallest nominal size; the limit itself is kept. The layer standard's 3/32 in (2.4 mm) is kept by
        what is drawn of imperial sites, and is not held here.
    Remedy:
        Set the text higher, and split the sheet where that has no room.
    Source:
        ISO 3098-1:2015 nominal sizes (from memory).
    """

    name: ClassVar[str] = "text-too-small"
    source: ClassVar[str] = LETTERING.cite()
    unit: ClassVar[str] = "mm"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every text below the least height."""
        for letter in sheet.letters:
            if letter.height_mm < LEAST_HEIGHT_MM - _ROUNDING_MM:
                at = around(letter.corners).center
                message = f"{quoted(letter.text)} is {letter.height_mm:.2f} mm high, {LEAST_HEIGHT_MM:g} mm is least."
                yield Place((letter.model_id,), at, message, letter.height_mm, LEAST_HEIGHT_MM)
