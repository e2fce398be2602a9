"""The forms that a paper comes in: A4 or letter as the site's sheets are, and one as wide as a telephone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.model.info import SiteInfo


@dataclass(frozen=True, slots=True)
class PaperForm:
    """A page.

    Args:
        name: of the form.
        width_mm, height_mm: of the page, standing.
        margin_mm: on every side.
        text_mm: height of capitals in running text.
        is_narrow: tables are set as cards, one value below the other.
    """

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float
    text_mm: float
    is_narrow: bool = False

    @property
    def room_mm(self) -> float:
        """Width within the margins."""
        return self.width_mm - 2 * self.margin_mm


A4: Final = PaperForm("A4", 210.0, 297.0, 12.0, 2.5)
LETTER: Final = PaperForm("letter", 215.9, 279.4, 12.0, 2.5)
TELEPHONE: Final = PaperForm("telephone", 90.0, 300.0, 4.0, 2.5, is_narrow=True)
"""So wide that capitals of 2.5 mm are 10 pixels high on a screen of 360; high, for a telephone scrolls down by itself."""


def paper_form(info: SiteInfo) -> PaperForm:
    """Letter where the site's sheets are of an American series, else A4."""
    return A4 if info.sheet_series == "ISO" else LETTER
