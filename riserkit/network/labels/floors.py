"""Floor numbers and building codes that labels begin with.

The published grammar gives a floor one or two digits and knows no minus sign. Floors that the user does not number are
numbered per building by elevation: the level nearest to elevation 0 is 1, those above it 2, 3 and so on, those below it
91, 92 and so on downward: two digits as the grammar asks, unlike any storey that people would look for upstairs, and
neither a new basement below nor a new storey on top renumbers the others. A number in an issued closet
label is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import count
from types import MappingProxyType
from typing import Final

from riserkit.errors import RiserkitError
from riserkit.model.place import Level
from riserkit.model.site import Site
from riserkit.network.spots import building_of
from riserkit.quantities.grouping import grouped
from riserkit.standards.labels import SpaceLabel, parse_space

_FIRST_BASEMENT: Final = 91
_LAST: Final = 99


class LabelError(RiserkitError):
    """The label grammar has no room for something; says for what, and what would do."""


def floor_numbers(site: Site) -> Mapping[str, int]:
    """The floor number of each level by its id. Levels of a building at one elevation are one floor.

    Raises:
        LabelError: a building with more floors than two digits can number.
    """
    spaces = issued_spaces(site)
    known = {site.closet[closet].level: space.floor for closet, space in spaces.items()}
    known |= {level.id: level.floor for level in site.levels if level.floor is not None}
    by_building = grouped((building_of(site, level.id), level) for level in site.levels)
    found: dict[str, int] = {}
    for building, levels in by_building.items():
        found |= _numbered(building, levels, known)
    return MappingProxyType(found)


def building_codes(site: Site) -> Mapping[str, str]:
    """The code of each building by its id, empty on a site of one. A code left out is the next free of B1, B2 ..."""
    ids = [building.id for building in site.buildings]
    ids += sorted({building_of(site, level.id) for level in site.levels} - set(ids))
    if len(ids) <= 1:
        return MappingProxyType(dict.fromkeys(ids, ""))
    codes = {building.id: building.code for building in site.buildings if building.code}
    for closet, space in issued_spaces(site).items():
        if space.building:
            codes.setdefault(building_of(site, site.closet[closet].level), space.building)
    taken = set(codes.values())
    free = (code for code in (f"B{number}" for number in count(1)) if code not in taken)
    return MappingProxyType({building: codes.get(building) or next(free) for building in ids})


def issued_spaces(site: Site) -> Mapping[str, SpaceLabel]:
    """Issued closet labels of the site's closets that follow the grammar, read, by closet id in sorted order."""
    found: dict[str, SpaceLabel] = {}
    for issued in sorted(site.issued_labels, key=lambda x: (x.subject, x.label)):
        if issued.kind == "closet" and issued.subject in site.closet and issued.subject not in found:
            try:
                found[issued.subject] = parse_space(issued.label)
            except ValueError:
                continue  # a label of the user's own making says nothing about floors
    return found


def _numbered(building: str, levels: Iterable[Level], known: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    storeys = grouped((level.elevation_m, level) for level in sorted(levels, key=lambda x: x.elevation_m))
    taken = {known[level.id] for group in storeys.values() for level in group if level.id in known}
    ground_m = min(storeys, key=lambda elevation_m: (abs(elevation_m), elevation_m))
    up = (number for number in range(1, _LAST + 1) if number not in taken)
    down = (number for number in range(_FIRST_BASEMENT, _LAST + 1) if number not in taken)
    above = [group for elevation_m, group in storeys.items() if elevation_m >= ground_m]
    below = [group for elevation_m, group in storeys.items() if elevation_m < ground_m]
    for group, numbers in [*((g, up) for g in above), *((g, down) for g in reversed(below))]:
        yield from _storey(building, group, known, numbers)


def _storey(
    building: str, group: list[Level], known: Mapping[str, int], numbers: Iterator[int]
) -> Iterator[tuple[str, int]]:
    stated = [known[level.id] for level in group if level.id in known]
    number = stated[0] if stated else next(numbers, None)
    if number is None:
        where = f"building {building}" if building else "the site"
        raise LabelError(f"{where} has more levels than floor numbers 1 to 99 can name; state their floor numbers")
    for level in group:
        yield level.id, known.get(level.id, number)
