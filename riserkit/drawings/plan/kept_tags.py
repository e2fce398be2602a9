"""Labels where they were placed the last time that the same ones had the same room: placing them is most of planning a plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.plan.labels import Obstacles, PlacedTag, Tag, TagPlacement, place_tags
from riserkit.kept import KeptWork


def placed_tags(
    kept: KeptWork,
    tags: Sequence[Tag],
    room: Rect,
    obstacles: Obstacles,
    patience: float = math.inf,
    standing: Sequence[PlacedTag] = (),
) -> TagPlacement:
    """As `place_tags` places them."""

    def work_out() -> TagPlacement:
        return place_tags(tags, room, obstacles, patience, standing)

    def read(told: Mapping[str, Any]) -> TagPlacement:
        placed = tuple(_read(tags[n], *place) for n, *place in told["placed"])
        return TagPlacement(placed, tuple(tags[n] for n in told["rest"]))

    def plain(found: TagPlacement) -> Mapping[str, Any]:
        number = {id(tag): n for n, tag in enumerate(tags)}
        placed = [[number[id(one.tag)], one.box, one.anchor, one.leader] for one in found.placed]
        return {"placed": placed, "rest": [number[id(tag)] for tag in found.rest]}

    return kept.of("labels", (tuple(tags), room, obstacles, patience, tuple(standing)), work_out, read, plain)


def _read(
    tag: Tag, box: Sequence[float], anchor: Sequence[float], leader: Sequence[Sequence[float]] | None
) -> PlacedTag:
    return PlacedTag(tag, Rect(*box), _point(anchor), (_point(leader[0]), _point(leader[1])) if leader else None)


def _point(told: Sequence[float]) -> Point:
    x, y = told
    return x, y
