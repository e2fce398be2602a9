"""The rule `reach-range`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import RexSensor
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.base import Measure, measured
from riserkit.standards.egress import REACH_MAX_M, REACH_MIN_M


class ReachRange:
    """Readers and exit switches are where everyone reaches them.

    Why:
        A reader at 1.9 m shuts out whoever sits in a wheelchair, and is taken off the wall again at the first inspection.
    Measures:
        The stated heights of the reader, and of the REX device where it is an unpowered switch that is pushed by hand;
        a motion sensor is touched by nobody. That of a manual release is judged by manual-release-placing.
    Limit:
        15 in to 48 in (0.381 m to 1.219 m) above the floor.
    Remedy:
        The height to set.
    Source:
        ADA 2010 308.2.1, unobstructed forward reach (verified).
    """

    name: ClassVar[str] = "reach-range"
    source: ClassVar[str] = REACH_MAX_M.source.cite()
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each stated height outside; none where all are inside."""
        for door in design.doors:
            opening, rex = door.opening, design.site.part.get(door.opening.rex)
            yield from self._height(design, door, opening.reader_height_m, "reader", "reader_height_m")
            if isinstance(rex, RexSensor) and not rex.is_powered:
                yield from self._height(design, door, opening.rex_height_m, "exit switch", "rex_height_m")

    def _height(
        self, design: Design, door: DoorDesign, height_m: float | None, what: str, column: str
    ) -> Iterator[Finding]:
        if height_m is None:
            return
        low = height_m < REACH_MIN_M.value
        limit_m = REACH_MIN_M.value if low else REACH_MAX_M.value
        measure = Measure(height_m, limit_m, "m", at_most=not low)
        if measure.kept:
            return
        shown, limit = format_pair(height_m, limit_m, "m", design.site.info.unit_system)
        word = "at least" if low else "at most"
        yield measured(
            self, ("opening", door.mark), measure, f"The {what} is {shown} above the floor, {word} {limit}.",
            severity=Severity.WARNING, remedy=f"Set the {what} between 15 and 48 in (0.38 and 1.22 m); check {column}.",
            about=column,
        )  # fmt: skip
