"""How warm a cable gets on its way: the pathway's own temperature, and what the cables beside it add."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from riserkit.model.site import Site
from riserkit.network.bundles import Bundle
from riserkit.network.values import Route


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperature of the hottest stretch of a way.

    Args:
        temperature_c: pathway and bundle together; without the bundle's part where that is unknown.
        rise_k: of this, what the bundle adds at the hottest stretch.
        cables: in the bundle there; 0 off the pathways.
        unknown: a segment whose bundle no published table holds; empty when all are known.
    """

    temperature_c: float
    rise_k: float = 0.0
    cables: int = 0
    unknown: str = ""


class PathwayHeat:
    """The temperatures of one site's pathways, worked out once a segment."""

    def __init__(self, site: Site, bundles: Mapping[str, Bundle]) -> None:
        self._base_c = site.info.pathway_c
        self._stated_c = {
            s.id: max(self._base_c, s.temperature_c) for s in site.pathway_segments if s.temperature_c is not None
        }
        self._bundles = bundles
        self._at: dict[str, Warmth] = {}
        self._on: dict[tuple[str, ...], Warmth] = {}

    def on(self, route: Route) -> Warmth:
        """Warmth of the hottest stretch of a way, never below the site's pathway temperature."""
        if route.segments not in self._on:
            stretches = [self._segment(name) for name in route.segments]
            hottest = max(stretches, key=lambda w: w.temperature_c, default=Warmth(self._base_c))
            unknown = next((w.unknown for w in stretches if w.unknown), "")
            self._on[route.segments] = Warmth(hottest.temperature_c, hottest.rise_k, hottest.cables, unknown)
        return self._on[route.segments]

    def _segment(self, name: str) -> Warmth:
        if name not in self._at:
            own_c = self._stated_c.get(name, self._base_c)
            bundle = self._bundles.get(name)
            rise_k = bundle.rise_k if bundle else 0.0
            size = bundle.size if bundle else 0
            self._at[name] = Warmth(own_c, 0.0, size, name) if rise_k is None else Warmth(own_c + rise_k, rise_k, size)
        return self._at[name]
