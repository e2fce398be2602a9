"""The rule `reach-height`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import EgressRole
from riserkit.model.parts import RexSensor, is_in_leaf
from riserkit.quantities.printed import format_pair, format_value
from riserkit.rules._shared.base import Measure, measured
from riserkit.standards.egress import (
    DOOR_HARDWARE_HEIGHT_MAX_M,
    DOOR_HARDWARE_HEIGHT_MIN_M,
    EXIT_SWITCH_HEIGHT_MAX_M,
    EXIT_SWITCH_HEIGHT_MIN_M,
    REACH_MAX_M,
    REACH_MIN_M,
)
from riserkit.standards.source import Limit
from riserkit.wiring.lengths import rex_place


class ReachHeight:
    """What people put a hand to is where everybody can reach it.

    Why:
        A reader or a switch above the reach of a person in a wheelchair shuts that person in or out, and is moved
        after the walls are closed.
    Measures:
        The heights above the floor that are stated for the opening: of its reader, of its exit switch, of a bar or handle
        with a switch in it, and of a manual release that is not of a sensor-released door, of which
        manual-release-placing speaks.
    Limit:
        A reader 15 to 48 in above the floor; a switch or release 40 to 48 in; a bar or handle 34 to 48 in.
    Remedy:
        How far to move it.
    Source:
        ADA 2010 308.2.1, unobstructed forward reach (verified); that 309.3 asks it of operable parts is from memory. For
        switches IBC 2021 1010.2.12 item 4, which asks it of sensor-released doors alone; for others from memory.
    """

    name: ClassVar[str] = "reach-height"
    source: ClassVar[str] = REACH_MAX_M.source.cite()
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each height that is stated."""
        for door in design.doors:
            opening, switch = door.opening, (EXIT_SWITCH_HEIGHT_MIN_M, EXIT_SWITCH_HEIGHT_MAX_M)
            rex, release = design.site.part.get(opening.rex), design.site.part.get(opening.release)
            hardware = (DOOR_HARDWARE_HEIGHT_MIN_M, DOOR_HARDWARE_HEIGHT_MAX_M)
            if opening.reader_height_m is not None:
                yield self._judged(design, door, "reader", opening.reader_height_m, (REACH_MIN_M, REACH_MAX_M))
            if opening.rex_height_m is not None and isinstance(rex, RexSensor) and rex_place(rex) == "exit-switch":
                yield self._judged(design, door, "exit switch", opening.rex_height_m, switch)
            if opening.rex_height_m is not None and is_in_leaf(rex):
                yield self._judged(design, door, "bar or handle with the REX switch", opening.rex_height_m, hardware)
            if opening.release_height_m is not None and is_in_leaf(release):
                what = "bar or handle with the release switch"
                yield self._judged(design, door, what, opening.release_height_m, hardware)
            elif opening.release_height_m is not None and opening.egress is not EgressRole.SENSOR_RELEASE:
                yield self._judged(design, door, "manual release", opening.release_height_m, switch)

    def _judged(
        self, design: Design, door: DoorDesign, what: str, height_m: float, limits: tuple[Limit, Limit]
    ) -> Finding:
        system = design.site.info.unit_system
        low = height_m < (limits[0].value + limits[1].value) / 2
        limit = limits[0] if low else limits[1]
        measure = Measure(height_m, limit.value, "m", at_most=not low)
        value, bound = format_pair(height_m, limit.value, "m", system)
        off = format_value(abs(measure.margin), "m", system)
        return measured(
            self, door.subject, measure,
            f"{what.capitalize()} {value} above the floor, {'at least' if low else 'at most'} {bound}.",
            severity=Severity.WARNING, remedy=f"Mount it {off} {'higher' if low else 'lower'}, or check the height stated.",
            source=limit.source.cite(), about=what,
        )  # fmt: skip
