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

TOO_SMALL: Final = frozenset({"ISO A4", "ANSI A", "ARCH A"})
"""Sizes that a title block of 180 mm leaves no room on for plans, riser and schedules."""


def set_sheet_name(asked: str, series: str) -> str:
    """As `sheet_name`, of a size that plans, riser and schedules go on.

    Raises:
        ValueError: there is no such size, or it is too small.
    """
    name = sheet_name(asked, series)
    if name in TOO_SMALL:
        larger = SIZES_OF[name.split()[0]]
        raise ValueError(
            f"expected {larger[1]} or larger: {name} has no room for plans and schedules beside its title block"
        )
    return name


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
