"""Bundles: where a closet serves more openings of a level than read well one by one, those that share a pathway."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import count
from typing import Final

from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.riser.measure import SLACK, TEXT_MM
from riserkit.drawings.riser.values import ClosetOpenings, Drop, Flag, OpeningGroup, RiserContent
from riserkit.drawings.setting.table import PADDING_MM, Table, columns_of
from riserkit.holds import HOLD
from riserkit.quantities.grouping import grouped

MOST_BUNDLES: Final = 12
LEAST_BUNDLED: Final = 3
"""Fewer openings of one way are drawn one by one."""
OTHER_WAYS: Final = "other ways"
_COLUMN_MOST_MM: Final = 56.0

Items = tuple[Drop | OpeningGroup, ...]
GroupKey = tuple[str, str]
"""Closet and level."""


def bundle_groups(content: RiserContent, most_single: int) -> Mapping[GroupKey, Items]:
    """What is drawn for each group: its openings one by one, or bundles when it has more than `most_single`."""
    numbers = count(1)
    found: dict[GroupKey, Items] = {}
    for group in content.groups:
        key = (group.closet, group.level)
        many = len(group.drops) > most_single and group.closet != ""
        found[key] = tuple(_bundles(group, numbers)) if many else group.drops
    return found


def _bundles(group: ClosetOpenings, numbers: Iterator[int]) -> Iterator[OpeningGroup | Drop]:
    ways = grouped((_arrival(drop), drop) for drop in group.drops)
    for way, members in _merged(ways).items():
        if len(members) < LEAST_BUNDLED:
            yield from members
        else:
            yield OpeningGroup(f"B{next(numbers)}", way, tuple(members), _worst(members))


def _arrival(drop: Drop) -> str:
    """The pathway by which a cable arrives; without one, the switch that it starts from."""
    if drop.pathway:
        return f"via {drop.pathway}"
    return f"from {drop.panel}" if drop.panel else OTHER_WAYS


def _merged(ways: Mapping[str, Sequence[Drop]]) -> dict[str, list[Drop]]:
    """At most so many bundles: the smallest ways go together into one."""
    kept = sorted(ways, key=lambda way: (way == OTHER_WAYS, -len(ways[way])))
    kept_set = set(kept) if len(kept) <= MOST_BUNDLES else set(kept[: MOST_BUNDLES - 1])
    merged: dict[str, list[Drop]] = {}
    for way, members in ways.items():
        merged.setdefault(way if way in kept_set else OTHER_WAYS, []).extend(members)
    return merged


def _worst(members: Sequence[Drop]) -> tuple[Flag, ...]:
    opened = sorted({flag.text for drop in members for flag in drop.flags if not flag.accepted})
    return tuple(Flag(text) for text in opened[:1])


def bundle_tables(content: RiserContent, items: Mapping[GroupKey, Items]) -> tuple[Table, ...]:
    """The table of each bundle's members."""
    names = {band.id: band.name for band in content.levels}
    found = []
    for (_, level), members in items.items():
        bundles = (item for item in members if isinstance(item, OpeningGroup))
        found += [_table(f"{b.name} {b.way}: {names[level]}", b) for b in bundles]
    return tuple(found)


def _table(title: str, bundle: OpeningGroup) -> Table:
    rows = tuple(
        (
            drop.name,
            drop.cable,
            drop.length,
            str(drop.codes),
            " ".join((*((HOLD,) if drop.held else ()), *(flag.text for flag in drop.flags))),
        )
        for drop in bundle.members
    )
    subjects = tuple(f"opening:{drop.mark}" for drop in bundle.members)
    headers = ("Opening", "Cable", "Length", "Devices", "Flag")
    # only a label of the owner's own making is ever so long that its column gives way
    widths = tuple(_width_mm([header, *(row[n] for row in rows)]) for n, header in enumerate(headers))
    held = tuple(drop.held for drop in bundle.members)
    return Table(title, columns_of(headers, widths), rows, subjects, held)


def _width_mm(texts: Sequence[str]) -> float:
    """A column's width for its longest text in one line, up to a limit."""
    widest = max(text_width_mm(text, TEXT_MM) for text in texts) * SLACK + 2 * PADDING_MM + 0.2
    return min(widest, _COLUMN_MOST_MM)
