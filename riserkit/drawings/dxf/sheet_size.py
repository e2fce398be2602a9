"""Sizes of sheets by what a user calls them."""

from __future__ import annotations

from riserkit.drawings.dxf.errors import SheetError
from riserkit.standards.sheets import SHEET_SIZES, PaperSize


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
    found = tuple(size for size in SHEET_SIZES.values() if size.series == series.upper())
    if not found:
        raise SheetError(f"no sheet series {series!r}; known are ISO, ANSI, ARCH")
    return found
