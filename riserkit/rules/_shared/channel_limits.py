"""How long a balanced channel may be at this site: cords, cord gauge and temperature of the route together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.design import Design
from riserkit.network.values import Route
from riserkit.rules._shared.base import within
from riserkit.standards import cabling
from riserkit.standards.source import NotTabulatedError
from riserkit.units import UnitSystem, format_value

_HOTTEST_TABULATED_C: Final = max(cabling.LINK_AT_TEMPERATURE_M)


@dataclass(frozen=True, slots=True)
class LinkLimit:
    """Longest permanent link.

    Args:
        max_m: a longer link fails.
        temp_c: of the link's hottest stretch.
        unknown: why a shorter link cannot be passed either; empty when `max_m` is the whole truth.
    """

    max_m: float
    temp_c: float
    unknown: str = ""

    def kept_by(self, length_m: float) -> bool:
        """Whether a link of this length is not too long; `unknown` may still stand against it."""
        return within(length_m, self.max_m)


class ChannelLimits:
    """The limits of one site, worked out once for each temperature and screen."""

    def __init__(self, design: Design) -> None:
        info = design.site.info
        self.cords_m = info.cords_total_m
        self.cord_gauge = info.cord_gauge
        self._base_c = info.pathway_c
        self._segment_c = {
            s.id: max(self._base_c, s.temperature_c)
            for s in design.site.pathway_segments
            if s.temperature_c is not None
        }
        self._limits: dict[tuple[float, bool], LinkLimit] = {}

    def temperature_c(self, route: Route) -> float:
        """Of the hottest pathway segment on the way, never below the site's pathway temperature."""
        if not self._segment_c:
            return self._base_c
        return max((self._segment_c.get(segment, self._base_c) for segment in route.segments), default=self._base_c)

    def link(self, temp_c: float, screened: bool) -> LinkLimit:
        """Longest permanent link at this temperature with the site's cords."""
        key = (temp_c, screened)
        if key not in self._limits:
            self._limits[key] = self._link(temp_c, screened, self.cords_m, awg(self.cord_gauge))
        return self._limits[key]

    def cords_for(self, link_m: float, temp_c: float, screened: bool) -> float:
        """Longest sum of cords, of the site's gauge, that this link leaves; 0 when it leaves none.

        Raises:
            NotTabulatedError: cord gauge or temperature outside the published tables.
        """
        share = cabling.derated_horizontal_m(temp_c, screened) / cabling.PERMANENT_LINK_M
        return cabling.max_cord_total_m(link_m / share, awg(self.cord_gauge))

    def _link(self, temp_c: float, screened: bool, cords_m: float, cord_awg: int) -> LinkLimit:
        try:
            return LinkLimit(cabling.max_horizontal_at_m(cords_m, cord_awg, temp_c, screened), temp_c)
        except NotTabulatedError as error:
            # Beyond the table nothing can be passed, but what the table's end forbids already fails.
            bound_m = cabling.derated_horizontal_m(min(temp_c, _HOTTEST_TABULATED_C), screened)
            return LinkLimit(min(bound_m, cabling.CHANNEL_M - cords_m), temp_c, str(error))

    def terms(self, temp_c: float, system: UnitSystem) -> str:
        """What the limit rests on, in words: temperature and cords."""
        return (
            f"at {format_value(temp_c, '°C', system)} with {format_value(self.cords_m, 'm', system)} "
            f"of {self.cord_gauge} cords"
        )


def awg(gauge: str) -> int:
    """The number of an AWG size; 0 for a mm² size, which the cord formula does not know."""
    number, _, unit = gauge.partition(" ")
    return int(number) if unit == "AWG" else 0
