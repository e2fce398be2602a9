"""The rule `manual-release-placing`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.quantities.printed import UnitSystem, format_pair, format_value
from riserkit.rules._shared.base import Measure, measured, not_evaluated, stated
from riserkit.rules._shared.proving import clause
from riserkit.standards.egress import (
    MANUAL_RELEASE_DISTANCE_MAX_M,
    MANUAL_RELEASE_HEIGHT_MAX_M,
    MANUAL_RELEASE_HEIGHT_MIN_M,
    MANUAL_RELEASE_SIGN,
    section_source,
)

_LITTLE_M: Final = 0.05


class ManualReleasePlacing:
    """The manual release of a sensor-released door is where people find it.

    Why:
        In smoke or in a crowd nobody looks for a button. It has to be at hand height beside the door, and say
        what it does.
    Measures:
        Its height above the floor, its distance from the door, and whether it bears its sign, as stated for the
        opening.
    Limit:
        40 to 48 in above the floor, within 60 in (5 ft) of the door, marked PUSH TO EXIT.
    Remedy:
        How far to move it, or the sign.
    Source:
        IBC 2021 1010.2.12 item 4 (verified); the section of the edition that the site names is cited.
    """

    name: ClassVar[str] = "manual-release-placing"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Three findings for each sensor-released door."""
        for door in design.doors:
            if door.opening.egress is EgressRole.SENSOR_RELEASE:
                yield self._height(design, door)
                yield self._distance(design, door)
                yield self._sign(design, door)

    def _height(self, design: Design, door: DoorDesign) -> Finding:
        height_m = door.opening.release_height_m
        least_m, most_m = MANUAL_RELEASE_HEIGHT_MIN_M.value, MANUAL_RELEASE_HEIGHT_MAX_M.value
        if height_m is None:
            return self._missing(door, "height", "height above the floor", "release_height_m")
        low = height_m < (least_m + most_m) / 2
        return self._measured(
            design, door, "height", Measure(height_m, least_m if low else most_m, "m", at_most=not low),
            "Manual release above the floor", "Mount it between 40 and 48 in (1016 and 1219 mm) above the floor",
        )  # fmt: skip

    def _distance(self, design: Design, door: DoorDesign) -> Finding:
        distance_m = door.opening.release_distance_m
        if distance_m is None:
            return self._missing(door, "distance", "distance from the door", "release_distance_m")
        return self._measured(
            design, door, "distance", Measure(distance_m, MANUAL_RELEASE_DISTANCE_MAX_M.value, "m"),
            "Manual release from the door", "Mount it within 60 in (1524 mm) of the door",
        )  # fmt: skip

    def _sign(self, design: Design, door: DoorDesign) -> Finding:
        sign = door.opening.release_sign
        if sign is None:
            return self._missing(door, "sign", "sign", "release_sign")
        message = f'The manual release is {"" if sign else "not "}marked "{MANUAL_RELEASE_SIGN}".'
        source = clause(design, door.opening.egress)
        remedy = f'Fit the sign "{MANUAL_RELEASE_SIGN}" at the release.'
        return stated(self, door.subject, sign, message, remedy=remedy, source=source, about="sign")

    def _missing(self, door: DoorDesign, about: str, what: str, column: str) -> Finding:
        return not_evaluated(
            self,
            door.subject,
            f"The manual release's {what} is not stated.",
            f"State {column} of this opening.",
            about=about,
        )

    def _measured(
        self, design: Design, door: DoorDesign, about: str, measure: Measure, what: str, remedy: str
    ) -> Finding:
        system = design.site.info.unit_system
        value, limit = format_pair(measure.value, measure.limit, measure.unit, system)
        word = "at most" if measure.at_most else "at least"
        return measured(
            self, door.subject, measure, f"{what}: {value}, {word} {limit}.",
            remedy=f"{remedy}; it is {_off(abs(measure.margin), system)} off.", source=clause(design, door.opening.egress), about=about,
        )  # fmt: skip


def _off(margin_m: float, system: UnitSystem) -> str:
    """How far to move it; a little is said in millimetres or sixteenths, never rounded to nothing."""
    if margin_m >= _LITTLE_M:
        return format_value(margin_m, "m", system)
    if system == "imperial":
        return f"{math.ceil(margin_m / 0.0254 * 16 - 1e-6)}/16 in"
    return f"{math.ceil(margin_m * 1000 - 1e-6)} mm"
