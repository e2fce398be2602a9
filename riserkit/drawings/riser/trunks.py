"""The horizontal cables of a riser: from each closet up and down its trunk, along the spines, to the openings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.places import NetLine, PlacedCloset, PlacedItem, PlacedRow
from riserkit.drawings.riser.values import OpeningGroup

_LEVEL_MM: Final = 1e-6


def trunk_wires(rows: Sequence[PlacedRow], closets: Mapping[str, PlacedCloset]) -> list[NetLine]:
    """Trunks, spines and drops. Rows that no closet serves have none."""
    by_closet: dict[str, list[PlacedRow]] = {}
    for row in rows:
        if row.closet in closets:
            by_closet.setdefault(row.closet, []).append(row)
    wires: list[NetLine] = []
    for closet, own in by_closet.items():
        wires += _trunk(closets[closet], own)
        for row in own:
            wires += _drops(row)
    return wires


def _trunk(closet: PlacedCloset, rows: Sequence[PlacedRow]) -> Iterator[NetLine]:
    name, port = closet.box.id, (closet.rect.x1, closet.port_y)
    net, subject = f"trunk:{name}", f"closet:{name}"
    lane = rows[0].x
    apart = [row for row in rows if abs(row.y - port[1]) > _LEVEL_MM]
    if apart:
        words = _words(rows, closet)
        yield NetLine(net, subject, BUNDLE_PEN, (port, (lane, port[1])), words)
    for up in (True, False):
        y = port[1]
        beyond = sorted((row for row in apart if (row.y > y) == up), key=lambda row: abs(row.y - y))
        for n, row in enumerate(beyond):
            yield NetLine(net, subject, BUNDLE_PEN, ((lane, y), (lane, row.y)), _words(beyond[n:], closet))
            y = row.y
    for row in rows:
        start = (lane, row.y) if row in apart else port
        pen = BUNDLE_PEN if row.cables > 1 else CABLE_PEN
        yield NetLine(net, subject, pen, (start, (row.items[-1].x, row.y)), _words([row], closet))


def _words(rows: Sequence[PlacedRow], closet: PlacedCloset) -> str:
    count = sum(row.cables for row in rows)
    return f"{count} cable{'s' if count > 1 else ''} of {closet.box.label}"


def _drops(row: PlacedRow) -> Iterable[NetLine]:
    return (_drop(placed) for placed in row.items)


def _drop(placed: PlacedItem) -> NetLine:
    item = placed.item
    if isinstance(item, OpeningGroup):
        net, subject, pen = f"bundle:{item.name}", f"bundle:{item.name}", BUNDLE_PEN
    else:
        net, subject, pen = f"drop:{item.mark}", f"cable:{item.cable_subject or item.mark}", CABLE_PEN
    return NetLine(net, subject, pen, ((placed.x, placed.y), (placed.x, placed.y - m.DROP_MM)))
