"""Drawing sheets: identifications, sizes, margins and heights of lettering."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Source

ISO_SIZES: Final = Source("ISO 216", "", "A series", "verified")
ANSI_SIZES: Final = Source("ASME Y14.1", clause="sheet sizes", confidence="verified")
ARCH_SIZES: Final = Source("NCS", "v5", "architectural sheet sizes", "verified")
ARCH_SIZE_E1: Final = Source("NCS", "v5", "sheet size E1", "from memory")
MARGINS: Final = Source("ISO 5457", "1999", "margins and frame", "from memory")
TITLE_BLOCK: Final = Source("ISO 7200", "2004", "title block width and fields", "from memory")
LETTERING: Final = Source("ISO 3098-1", "2015", "nominal sizes", "from memory")
NCS_TEXT: Final = Source("NCS", "v5", "least text height 3/32 in", "from memory")

FAILURES: Final = 2
"""Number of the sheets that show how doors fail, among those of type 5; details of doors have 1."""
MARGIN_LEFT_MM: Final = 20.0
"""The binding edge."""
MARGIN_OTHER_MM: Final = 10.0
TEXT_HEIGHTS_MM: Final = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
TEXT_HEIGHT_MIN_MM: Final = 3 / 32 * 25.4


@dataclass(frozen=True, slots=True)
class PaperSize:
    """A trimmed sheet lying on its long side."""

    series: str
    code: str
    width_mm: float
    height_mm: float

    @property
    def name(self) -> str:
        """Series and size, such as `ISO A3`."""
        return f"{self.series} {self.code}"


def _inches(series: str, code: str, long_in: float, short_in: float) -> PaperSize:
    return PaperSize(series, code, round(long_in * 25.4, 1), round(short_in * 25.4, 1))


_ALL: Final = (
    PaperSize("ISO", "A4", 297, 210),
    PaperSize("ISO", "A3", 420, 297),
    PaperSize("ISO", "A2", 594, 420),
    PaperSize("ISO", "A1", 841, 594),
    PaperSize("ISO", "A0", 1189, 841),
    _inches("ANSI", "A", 11, 8.5),
    _inches("ANSI", "B", 17, 11),
    _inches("ANSI", "C", 22, 17),
    _inches("ANSI", "D", 34, 22),
    _inches("ANSI", "E", 44, 34),
    _inches("ARCH", "A", 12, 9),
    _inches("ARCH", "B", 18, 12),
    _inches("ARCH", "C", 24, 18),
    _inches("ARCH", "D", 36, 24),
    _inches("ARCH", "E1", 42, 30),
    _inches("ARCH", "E", 48, 36),
)
SHEET_SIZES: Final[Mapping[str, PaperSize]] = MappingProxyType({size.name: size for size in _ALL})
"""By name, each series from the smallest on."""


def numbered_sheet_id(kind: str, number: int) -> str:
    """Identification of a sheet by the scheme of NCS v5, UDS module 1 (types from memory); past 99, where that ends, three digits.

    Args:
        kind: the digit of the type of sheet: `0` general, `1` plans, `6` schedules and diagrams.
        number: from 1.

    Examples:
        >>> numbered_sheet_id("0", 1), numbered_sheet_id("1", 120)
        ('T-001', 'T-1120')
    """
    return f"T-{kind}{number:02d}"


def door_sheet_id(mark: str) -> str:
    """The sheet's identification: discipline T, type 5 (details), and the opening's mark as it is written.

    A mark is of letters and digits of any script, spaces, `.`, `-` and `_`, begins and ends with a letter or a digit, and
    differs from every other by more than capitals: so it stands in a file's name on every system and is unique there.

    Examples:
        >>> door_sheet_id("101A"), door_sheet_id("S-2.1"), door_sheet_id("дверь-1")
        ('T-501-101A', 'T-501-S-2.1', 'T-501-дверь-1')
    """
    return f"T-501-{unicodedata.normalize('NFC', mark)}"


def failure_sheet_id(mark: str) -> str:
    """Identification of the sheet that shows how a door fails, as that of the door's own sheet.

    Examples:
        >>> failure_sheet_id("101A")
        'T-502-101A'
    """
    return f"T-5{FAILURES:02d}-{unicodedata.normalize('NFC', mark)}"
