"""Where else a door's cable could go: closets with a free port that are near enough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riserkit.design import Design
from riserkit.rules._shared.channel_limits import ChannelLimits
from riserkit.rules._shared.lookups import free_ports

# The nearest closets are looked at one by one, since each route has its own temperature; farther ones are no better.
_LOOKED_AT = 4


@dataclass(frozen=True, slots=True)
class OtherCloset:
    """A closet that would do, with the permanent link from there and the ports free in it."""

    closet: str
    length_m: float
    free_ports: int


class OtherClosets:
    """The search for one design. Nothing is worked out before the first opening asks."""

    def __init__(self, design: Design, limits: ChannelLimits) -> None:
        self.design = design
        self.limits = limits

    def nearest(self, mark: str, not_from: str, *, screened: bool) -> OtherCloset | None:
        """The closet of the shortest permanent link within its limit, with a free port; None when there is none."""
        row = self._row[mark]
        lengths_m = self._lengths_m[:, row]
        tried = 0
        for number in np.argsort(lengths_m, kind="stable"):
            closet = self._closets[int(number)]
            if not np.isfinite(lengths_m[number]) or tried == _LOOKED_AT:
                break
            if closet == not_from or self._free[closet] <= 0:
                continue
            tried += 1
            route = self.design.router.route(closet, mark)
            limit = self.limits.on(route, screened) if route else None
            if route and limit and not limit.unknown and limit.kept_by(route.length_m):
                return OtherCloset(closet, route.length_m, self._free[closet])
        return None

    @cached_property
    def _closets(self) -> tuple[str, ...]:
        return tuple(closet.id for closet in self.design.site.closets)

    @cached_property
    def _lengths_m(self) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        """Permanent link from each closet to each opening, shape (closets, openings); infinite where no way is."""
        return np.array([self.design.router.lengths_m(closet) for closet in self._closets])

    @cached_property
    def _row(self) -> Mapping[str, int]:
        return {opening.mark: row for row, opening in enumerate(self.design.site.openings)}

    @cached_property
    def _free(self) -> Mapping[str, int]:
        return free_ports(self.design)
