"""The backbone cables of a riser: straight up and down in a column, across to others above the closets of a level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.grid import Inputs, lane_of_edge, plan_columns
from riserkit.drawings.riser.lanes import Edge
from riserkit.drawings.riser.places import BackboneTag, NetLine, PlacedCloset

BACKBONE_PEN: Final = Pen(layers.BACKBONE)
_STUB_UP_MM: Final = 5.5


def backbone_wires(
    inputs: Inputs,
    closets: Mapping[str, PlacedCloset],
    columns_x: Sequence[float],
    tracks: Mapping[str, tuple[Point, Point]],
) -> tuple[list[NetLine], list[BackboneTag]]:
    """A line and two lines of text for each backbone cable; `tracks` are those of `lay_tracks`."""
    plans, lane_x = plan_columns(inputs), _lane_x(inputs, columns_x)
    starts = _straight_starts(inputs, closets, lane_x)
    for subject in lane_x.keys() & tracks.keys():
        port, corner = tracks[subject]
        starts[subject] = port, corner, (lane_x[subject], corner[1])
    ends = _ends(inputs, closets)
    wires, tags = [], []
    for edge in inputs.edges:
        subject = edge.cable.subject
        x, end = lane_x[subject], ends[subject]
        points = (*starts[subject], (x, end[1]), end)
        wires.append(NetLine(f"backbone:{subject}", f"cable:{subject}", BACKBONE_PEN, points, edge.cable.label))
        tags.append(BackboneTag(edge.cable, (columns_x[edge.child_column] + plans[edge.child_column].lanes_mm, end[1])))
    return wires, tags


def lay_tracks(
    inputs: Inputs,
    closets: Mapping[str, PlacedCloset],
    tops: Sequence[float],
    columns_x: Sequence[float],
    guests_x: Mapping[str, float],
) -> dict[str, tuple[Point, Point]]:
    """The first two points of cables to other columns: out of the closet's top, and up to where they turn across.

    Args:
        inputs: with the backbone, and with the closets that serve openings of other stacks.
        closets: placed.
        tops: of the tiers.
        columns_x: left edges of the columns.
        guests_x: about where the cables of such closets go up or down, by the subjects of their edges.
    """
    lane_x = {**_lane_x(inputs, columns_x), **guests_x}
    found: dict[str, tuple[Point, Point]] = {}
    for n, top in enumerate(tops):
        across = [edge for edge in (*inputs.edges, *inputs.guests) if edge.parent_band == n and not edge.straight]
        across.sort(key=lambda e: (-e.parent_column, e.upward, _reach(e, lane_x)))
        port_x = _port_x(across, closets)
        for k, edge in enumerate(across):
            y = top - 3.0 - (len(across) - 1 - k) * m.TRACK_MM
            x = port_x[edge.cable.subject]
            found[edge.cable.subject] = (x, closets[edge.parent].rect.y1), (x, y)
    return found


def _lane_x(inputs: Inputs, columns_x: Sequence[float]) -> dict[str, float]:
    """Where each backbone cable goes up or down, in the column of the closet fed."""
    lanes, plans = lane_of_edge(inputs), plan_columns(inputs)
    found = {}
    for edge in inputs.edges:
        lanes_here = plans[edge.child_column].lanes
        left = columns_x[edge.child_column]
        found[edge.cable.subject] = left + 2.0 + m.LANE_MM * (lanes_here - 1 - lanes[edge.cable.subject])
    return found


def _ends(inputs: Inputs, closets: Mapping[str, PlacedCloset]) -> dict[str, Point]:
    """Where each cable enters the closet fed: one below the other."""
    count: dict[str, int] = {}
    ends = {}
    for edge in inputs.edges:
        n = count[edge.child] = count.get(edge.child, -1) + 1
        closet = closets[edge.child]
        ends[edge.cable.subject] = (closet.rect.x0, closet.port_y - n * m.STUB_TEXT_MM)
    return ends


def _straight_starts(
    inputs: Inputs, closets: Mapping[str, PlacedCloset], lane_x: Mapping[str, float]
) -> dict[str, tuple[Point, ...]]:
    """The first two points of cables within a column: out of the closet's left side, the nearest one outermost."""
    found: dict[str, tuple[Point, ...]] = {}
    for name, closet in closets.items():
        mine = [edge for edge in inputs.edges if edge.parent == name and edge.straight]
        ups = sorted((e for e in mine if e.upward), key=lambda e: lane_x[e.cable.subject])
        downs = sorted((e for e in mine if not e.upward), key=lambda e: lane_x[e.cable.subject])
        ins = sum(edge.child == name for edge in inputs.edges)
        for n, edge in enumerate(ups):
            found[edge.cable.subject] = _stub(closet, closet.port_y + _STUB_UP_MM + n * m.STUB_MM, lane_x, edge)
        for n, edge in enumerate(downs):
            y = closet.port_y - max(ins, 1) * m.STUB_TEXT_MM - n * m.STUB_MM + 2.0
            found[edge.cable.subject] = _stub(closet, y, lane_x, edge)
    return found


def _stub(closet: PlacedCloset, y: float, lane_x: Mapping[str, float], edge: Edge) -> tuple[Point, ...]:
    return (closet.rect.x0, y), (lane_x[edge.cable.subject], y)


def _reach(edge: Edge, lane_x: Mapping[str, float]) -> float:
    """Order of tracks from the lowest: those that go down nearest first, those that go up farthest first."""
    x = lane_x[edge.cable.subject]
    away = x if edge.child_column > edge.parent_column else -x
    return -away if edge.upward else away


def _port_x(across: Sequence[Edge], closets: Mapping[str, PlacedCloset]) -> dict[str, float]:
    """Where each leaves the top of its closet: the lowest track outermost."""
    found: dict[str, float] = {}
    for name in dict.fromkeys(edge.parent for edge in across):
        mine = [edge for edge in across if edge.parent == name]
        rect = closets[name].rect
        pitch = min(m.LANE_MM, (rect.width - 8.0) / len(mine))
        right = [edge for edge in mine if edge.child_column > edge.parent_column]
        left = [edge for edge in mine if edge.child_column < edge.parent_column]
        found |= {edge.cable.subject: rect.x1 - 4.0 - n * pitch for n, edge in enumerate(right)}
        found |= {edge.cable.subject: rect.x0 + 4.0 + n * pitch for n, edge in enumerate(left)}
    return found
