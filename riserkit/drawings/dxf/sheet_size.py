"""Sheet sizes, landscape, in millimetres.

Sources: ISO 216 / ISO 5457 (A4 to A0), ASME Y14.1 (ANSI A to E), ARCH A to E as printed in the national CAD
standard's sheet module; checked against published text, the E1 size from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.drawings.dxf.errors import SheetError


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
SHEET_SIZES: Final = MappingProxyType({size.name: size for size in _ALL})


def sheet_size(name: str) -> PaperSize:
    """The size of a name such as `ISO A3`, `ansi d`, or `A3` for short (ISO).

    Raises:
        SheetError: no such size.
    """
    wanted = " ".join(name.upper().split())
    found = SHEET_SIZES.get(wanted) or SHEET_SIZES.get(f"ISO {wanted}")
    if found is None:
        raise SheetError(f"no sheet size {name!r}; known are {', '.join(SHEET_SIZES)}")
    return found


def series_sizes(series: str) -> tuple[PaperSize, ...]:
    """The sizes of `ISO`, `ANSI` or `ARCH`, the smallest first.

    Raises:
        SheetError: no such series.
    """
    found = tuple(size for size in _ALL if size.series == series.upper())
    if not found:
        raise SheetError(f"no sheet series {series!r}; known are ISO, ANSI, ARCH")
    return found
