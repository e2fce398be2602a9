"""How long a balanced channel may be at this site: cords, cord gauge and temperature of the route together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.design import Design
from riserkit.network.bundles import awg_of
from riserkit.network.values import Route
from riserkit.quantities.printed import UnitSystem, format_value
from riserkit.rules._shared.base import within
from riserkit.standards import cabling
from riserkit.standards.source import NotTabulatedError

_HOTTEST_TABULATED_C: Final = max(cabling.LINK_AT_TEMPERATURE_M)
_RISE_SAID_K: Final = 0.5


@dataclass(frozen=True, slots=True)
class LinkLimit:
    """Longest permanent link.

    Args:
        max_m: a longer link fails.
        temp_c: of the link's hottest stretch.
        unknown: why a shorter link cannot be passed either; empty when `max_m` is the whole truth.
        remedy: what to state then.
    """

    max_m: float
    temp_c: float
    unknown: str = ""
    remedy: str = "Use cords of 24, 26 or 28 AWG."

    def kept_by(self, length_m: float) -> bool:
        """Whether a link of this length is not too long; `unknown` may still stand against it."""
        return within(length_m, self.max_m)


class ChannelLimits:
    """The limits of one site, worked out once for each temperature and screen."""

    def __init__(self, design: Design) -> None:
        info = design.site.info
        self.cords_m = info.cords_total_m
        self.cord_gauge = info.cord_gauge
        self._heat = design.heat
        self._limits: dict[tuple[float, bool], LinkLimit] = {}

    def temperature_c(self, route: Route) -> float:
        """Of the hottest stretch of the way, the rise in its bundle included."""
        return self._heat.on(route).temperature_c

    def on(self, route: Route, screened: bool) -> LinkLimit:
        """Longest permanent link on this way with the site's cords.

        Where the rise in a bundle is not published, a link short enough for the hottest tabulated place passes all the same.
        """
        warmth = self._heat.on(route)
        limit = self.link(warmth.temperature_c, screened)
        if not warmth.unknown or limit.unknown:
            return limit
        hottest = self.link(_HOTTEST_TABULATED_C, screened)
        if not hottest.unknown and hottest.kept_by(route.length_m):
            return limit
        why = f"how warm the bundle in {warmth.unknown} gets is not published"
        return LinkLimit(limit.max_m, limit.temp_c, why, "State bundle_cables, at most 192, of this pathway.")

    def bundle_terms(self, route: Route, system: UnitSystem) -> str:
        """What the bundle adds to the temperature, in words; empty where that is next to nothing."""
        warmth = self._heat.on(route)
        if warmth.rise_k < _RISE_SAID_K:
            return ""
        rise = f"{warmth.rise_k * 1.8:.1f} °F" if system == "imperial" else f"{warmth.rise_k:.1f} K"
        return f"; a bundle of {warmth.cables} cables adds {rise}"

    def link(self, temp_c: float, screened: bool) -> LinkLimit:
        """Longest permanent link at this temperature with the site's cords."""
        key = (temp_c, screened)
        if key not in self._limits:
            self._limits[key] = self._link(temp_c, screened, self.cords_m, awg_of(self.cord_gauge))
        return self._limits[key]

    def cords_for(self, link_m: float, temp_c: float, screened: bool) -> float:
        """Longest sum of cords, of the site's gauge, that this link leaves; 0 when it leaves none.

        Raises:
            NotTabulatedError: cord gauge or temperature outside the published tables.
        """
        share = cabling.derated_horizontal_m(temp_c, screened) / cabling.PERMANENT_LINK_M
        return cabling.max_cord_total_m(link_m / share, awg_of(self.cord_gauge))

    def _link(self, temp_c: float, screened: bool, cords_m: float, cord_awg: int) -> LinkLimit:
        try:
            return LinkLimit(cabling.max_horizontal_at_m(cords_m, cord_awg, temp_c, screened), temp_c)
        except NotTabulatedError as error:
            # Beyond the table nothing can be passed, but what the table's end forbids already fails.
            bound_m = cabling.derated_horizontal_m(min(temp_c, _HOTTEST_TABULATED_C), screened)
            most_m = min(bound_m, cabling.CHANNEL_M - cords_m)
            if temp_c > _HOTTEST_TABULATED_C:
                return LinkLimit(most_m, temp_c, str(error), "Route it where it stays at 60 °C or cooler.")
            return LinkLimit(most_m, temp_c, str(error))

    def terms(self, temp_c: float, system: UnitSystem) -> str:
        """What the limit rests on, in words: temperature and cords."""
        return (
            f"at {format_value(temp_c, '°C', system)} with {format_value(self.cords_m, 'm', system)} "
            f"of {self.cord_gauge} cords"
        )
