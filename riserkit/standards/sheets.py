"""Drawing sheets: sizes, margins, text heights, and the names of sheets and layers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Source

ISO_SIZES: Final = Source("ISO 216", "", "A series", "verified")
ANSI_SIZES: Final = Source("ASME Y14.1", clause="sheet sizes", confidence="verified")
ANSI_SIZE_F: Final = Source("ASME Y14.1", clause="sheet size F", confidence="from memory")
ARCH_SIZES: Final = Source("NCS", "v5", "architectural sheet sizes", "verified")
ARCH_SIZE_E1: Final = Source("NCS", "v5", "sheet size E1", "from memory")
MARGINS: Final = Source("ISO 5457", "1999", "margins and frame", "from memory")
TITLE_BLOCK: Final = Source("ISO 7200", "2004", "title block width and fields", "from memory")
LETTERING: Final = Source("ISO 3098-1", "2015", "nominal sizes", "from memory")
NCS_TEXT: Final = Source("NCS", "v5", "least text height 3/32 in", "from memory")
DISCIPLINES_SOURCE: Final = Source("NCS", "v5", "UDS module 1, discipline designators", "verified")
SHEET_TYPES_SOURCE: Final = Source("NCS", "v5", "UDS module 1, sheet type designators", "from memory")

MARGIN_LEFT_MM: Final = 20.0
MARGIN_OTHER_MM: Final = 10.0
TEXT_HEIGHTS_MM: Final = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
TEXT_HEIGHT_MIN_MM: Final = 3 / 32 * 25.4


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A trimmed sheet, landscape: the width is the long side."""

    name: str
    series: str
    width_mm: float
    height_mm: float
    source: Source

    @property
    def frame_mm(self) -> tuple[float, float, float, float]:
        """Drawing space (left, bottom, right, top) inside the margins of ISO 5457."""
        return (
            MARGIN_LEFT_MM,
            MARGIN_OTHER_MM,
            self.width_mm - MARGIN_OTHER_MM,
            self.height_mm - MARGIN_OTHER_MM,
        )


def _iso(name: str, short: float, long: float) -> SheetSize:
    return SheetSize(name, "ISO", long, short, ISO_SIZES)


def _inch(series: str, letter: str, sides: tuple[float, float], source: Source) -> SheetSize:
    short, long = sorted(sides)
    return SheetSize(f"{series} {letter}", series, round(long * 25.4, 1), round(short * 25.4, 1), source)


# Keyed by name: A0 to A4, ANSI A to ANSI F, ARCH A to ARCH E1.
SHEET_SIZES: Final[Mapping[str, SheetSize]] = MappingProxyType(
    {
        size.name: size
        for size in (
            _iso("A0", 841, 1189),
            _iso("A1", 594, 841),
            _iso("A2", 420, 594),
            _iso("A3", 297, 420),
            _iso("A4", 210, 297),
            _inch("ANSI", "A", (8.5, 11), ANSI_SIZES),
            _inch("ANSI", "B", (11, 17), ANSI_SIZES),
            _inch("ANSI", "C", (17, 22), ANSI_SIZES),
            _inch("ANSI", "D", (22, 34), ANSI_SIZES),
            _inch("ANSI", "E", (34, 44), ANSI_SIZES),
            _inch("ANSI", "F", (28, 40), ANSI_SIZE_F),
            _inch("ARCH", "A", (9, 12), ARCH_SIZES),
            _inch("ARCH", "B", (12, 18), ARCH_SIZES),
            _inch("ARCH", "C", (18, 24), ARCH_SIZES),
            _inch("ARCH", "D", (24, 36), ARCH_SIZES),
            _inch("ARCH", "E", (36, 48), ARCH_SIZES),
            _inch("ARCH", "E1", (30, 42), ARCH_SIZE_E1),
        )
    }
)

# Letters of the sheet identification; two-letter codes follow by a second letter.
DISCIPLINES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "G": "General", "H": "Hazardous Materials", "V": "Survey/Mapping", "B": "Geotechnical", "C": "Civil",
        "L": "Landscape", "S": "Structural", "A": "Architectural", "I": "Interiors", "Q": "Equipment",
        "F": "Fire Protection", "P": "Plumbing", "D": "Process", "M": "Mechanical", "E": "Electrical",
        "W": "Distributed Energy", "T": "Telecommunications", "R": "Resource", "X": "Other Disciplines",
        "Z": "Contractor/Shop Drawings", "O": "Operations",
    }
)  # fmt: skip

SHEET_TYPES: Final[Mapping[int, str]] = MappingProxyType(
    {
        0: "General", 1: "Plans", 2: "Elevations", 3: "Sections", 4: "Large-Scale Views", 5: "Details",
        6: "Schedules and Diagrams", 7: "User Defined", 8: "User Defined", 9: "3D Representations",
    }
)  # fmt: skip


def sheet_id(discipline: str, sheet_type: int, sequence: int) -> str:
    """A sheet's identification: discipline, sheet type, sequence number.

    Args:
        discipline: one letter (a hyphen follows it) or two.
        sheet_type: a key of `SHEET_TYPES`.
        sequence: 1 to 99 within its type.

    Raises:
        ValueError: a part outside those.

    Examples:
        >>> sheet_id("T", 6, 1), sheet_id("TY", 1, 12)
        ('T-601', 'TY112')
    """
    _check_discipline(discipline)
    if sheet_type not in SHEET_TYPES:
        raise ValueError(f"sheet type {sheet_type}; expected 0 to 9")
    if not 1 <= sequence <= 99:
        raise ValueError(f"sheet sequence {sequence}; expected 1 to 99")
    return f"{discipline}{'-' if len(discipline) == 1 else ''}{sheet_type}{sequence:02d}"


def _check_discipline(discipline: str) -> None:
    letters = discipline.isascii() and discipline.isalpha() and discipline.isupper()
    if not (letters and len(discipline) <= 2 and discipline[0] in DISCIPLINES):
        raise ValueError(
            f"discipline {discipline!r}; expected one of {', '.join(DISCIPLINES)}, or such and a second letter"
        )
