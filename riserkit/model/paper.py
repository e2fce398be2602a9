"""Names of sheet sizes, so that one that does not exist is refused when the site is read."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

SIZES_OF: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "ISO": ("A4", "A3", "A2", "A1", "A0"),
        "ANSI": ("A", "B", "C", "D", "E"),
        "ARCH": ("A", "B", "C", "D", "E1", "E"),
    }
)


def sheet_name(asked: str, series: str) -> str:
    """The full name of a size, such as `ISO A3`, that is asked for as `A3`, `iso a3` or `ANSI D`.

    Args:
        asked: as a person writes it.
        series: of a size that names none.

    Raises:
        ValueError: there is no such size; with those there are.
    """
    words = asked.upper().split()
    wanted = words if len(words) > 1 else [series, *words]
    if len(wanted) == 2 and wanted[1] in SIZES_OF.get(wanted[0], ()):
        return " ".join(wanted)
    known = "; ".join(f"{name} {', '.join(codes)}" for name, codes in SIZES_OF.items())
    raise ValueError(f"expected a sheet size; known are {known}; one without its series is of {series}")
