"""Drawing sheets: sizes, margins and heights of lettering."""

from __future__ import annotations

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
