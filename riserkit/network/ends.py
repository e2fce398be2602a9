"""The openings as columns, so that the distance of all of them from a closet is one array operation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from riserkit.model.site import Site
from riserkit.network.estimate import SpotColumns
from riserkit.network.pathways import Anchor, NodeKey, Pathways
from riserkit.network.spots import Spot, opening_spot
from riserkit.network.taps import FloatArray, Tap
from riserkit.quantities.grouping import grouped


@dataclass(frozen=True, slots=True)
class End:
    """An end of a cable: where it is, where it taps the pathways, and between which nodes that is."""

    spot: Spot
    tap: Tap | None
    anchors: tuple[Anchor, ...]


@dataclass(frozen=True)
class OpeningEnds:
    """Every opening of a site in the order of the input, n of them.

    Args:
        ends: by mark.
        row: row by mark.
        near: (n, 2) numbers of the two neighbouring graph nodes, -1 for none.
        offset_m: (n, 2) distance to them along the pathway.
        drop_m: (n,) from pathway to controller.
        untapped: (n,) true where the level has no pathways.
        spots: where they are, as columns.
    """

    ends: Mapping[str, End]
    row: Mapping[str, int]
    near: npt.NDArray[np.int64]
    offset_m: FloatArray
    drop_m: FloatArray
    untapped: npt.NDArray[np.bool_]
    spots: SpotColumns

    @classmethod
    def of(cls, site: Site, pathways: Pathways, number: Mapping[NodeKey, int]) -> OpeningEnds:
        """The openings of a site; `number` counts the graph's nodes from 0."""
        ends = _ends(site, pathways)
        ordered = [ends[opening.mark] for opening in site.openings]
        near = np.full((len(ordered), 2), -1, dtype=np.int64)
        offset_m = np.zeros((len(ordered), 2))
        for row, end in enumerate(ordered):
            for column, anchor in enumerate(end.anchors):
                near[row, column] = number[anchor.node]
                offset_m[row, column] = anchor.offset_m
        drop_m = np.array([end.tap.drop_m if end.tap else 0.0 for end in ordered])
        untapped = np.array([end.tap is None for end in ordered], dtype=np.bool_)
        rows = {opening.mark: row for row, opening in enumerate(site.openings)}
        spots = SpotColumns.of([end.spot for end in ordered])
        return cls(MappingProxyType(ends), MappingProxyType(rows), near, offset_m, drop_m, untapped, spots)


def _ends(site: Site, pathways: Pathways) -> dict[str, End]:
    by_level = grouped((opening.level, opening) for opening in site.openings)
    ends: dict[str, End] = {}
    for level, openings in by_level.items():
        spots = [opening_spot(site, opening) for opening in openings]
        taps: Sequence[Tap | None] = pathways.finder.taps(level, spots) or [None] * len(spots)
        for opening, spot, tap in zip(openings, spots, taps, strict=True):
            ends[opening.mark] = End(spot, tap, pathways.anchors(tap) if tap else ())
    return ends
