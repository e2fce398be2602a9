"""The horizontal cables of a riser: from each closet up and down its trunk, along the spines, to the openings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.places import NetLine, PlacedCloset, PlacedItem, PlacedRow
from riserkit.drawings.riser.values import OpeningGroup
from riserkit.quantities.counting import counted
from riserkit.quantities.grouping import grouped

_LEVEL_MM: Final = 1e-6


def trunk_wires(
    rows: Sequence[PlacedRow], closets: Mapping[str, PlacedCloset], tracks: Mapping[str, tuple[Point, Point]]
) -> list[NetLine]:
    """Trunks, spines and drops. Rows that no closet serves have none.

    Args:
        rows: placed.
        closets: placed.
        tracks: by closet and column, `C/1`, where a closet's cables go across to a column of another stack.
    """
    by_column = grouped(((row.closet, row.column), row) for row in rows if row.closet in closets)
    wires: list[NetLine] = []
    for (closet, column), own in by_column.items():
        track = tracks.get(f"{closet}/{column}")
        wires += _trunk(closets[closet], own) if track is None else _trunk_across(closets[closet], own, track)
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


def _trunk_across(closet: PlacedCloset, rows: Sequence[PlacedRow], track: tuple[Point, Point]) -> Iterator[NetLine]:
    """As a trunk, from the closet's top along a track to the lane in the column where the openings are."""
    net, subject = f"trunk:{closet.box.id}/{rows[0].column}", f"closet:{closet.box.id}"
    (x, top), (_, y), lane = *track, rows[0].x
    yield NetLine(net, subject, BUNDLE_PEN, ((x, top), (x, y), (lane, y)), _words(rows, closet))
    for up in (True, False):
        at = y
        beyond = sorted((row for row in rows if (row.y > y) == up), key=lambda row: abs(row.y - y))
        for n, row in enumerate(beyond):
            yield NetLine(net, subject, BUNDLE_PEN, ((lane, at), (lane, row.y)), _words(beyond[n:], closet))
            at = row.y
    for row in rows:
        pen = BUNDLE_PEN if row.cables > 1 else CABLE_PEN
        yield NetLine(net, subject, pen, ((lane, row.y), (row.items[-1].x, row.y)), _words([row], closet))


def _words(rows: Sequence[PlacedRow], closet: PlacedCloset) -> str:
    count = sum(row.cables for row in rows)
    return f"{counted(count, 'cable')} of {closet.box.label}"


def _drops(row: PlacedRow) -> Iterable[NetLine]:
    return (_drop(placed) for placed in row.items)


def _drop(placed: PlacedItem) -> NetLine:
    item = placed.item
    if isinstance(item, OpeningGroup):
        net, subject, pen = f"bundle:{item.name}", f"bundle:{item.name}", BUNDLE_PEN
    else:
        net, subject, pen = f"drop:{item.mark}", f"cable:{item.cable_subject or item.mark}", CABLE_PEN
    return NetLine(net, subject, pen, ((placed.x, placed.y), (placed.x, placed.y - m.DROP_MM)))
