"""The rule `estimated-length`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import LengthBasis
from riserkit.network.values import Route
from riserkit.quantities.printed import UnitSystem, format_at_least, format_at_most, format_length, format_pair
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated
from riserkit.rules._shared.channel_limits import ChannelLimits
from riserkit.rules._shared.estimated_highs import EstimatedHigh, EstimatedHighs
from riserkit.standards.cabling import BESIDE_PATHWAY_MAX
from riserkit.wiring.cables import CableKind, DesignCable

_NEAR: Final = 0.9
_LOCK_POWER: Final = "lock power"
_HIGHEST: Final = "highest voltage"
_HIGHEST_A: Final = "highest current"


class EstimatedLength:
    """No verdict on a length hangs on a guess that is close to the limit.

    Why:
        An estimate goes round corners that the installer will not find, and misses those that he will. At half the
        limit that does not matter; near the limit the real cable may be the one that is too long. At a source above
        what the lock is rated to, it may be the one that is too short: less is dropped on the way.
    Measures:
        The permanent link of each opening whose length is estimated, not routed over pathways, stated or measured. One
        that leaves the pathways for more than 5 m at either end is estimated too, however long its way along them. The
        cable that brings lock power from a supply elsewhere, where nobody has routed or measured it. The highest voltage
        at the lock, its suppressor and each powered device that passes, and the highest current through contacts, outputs and
        suppressor, with every estimated cable of no length.
    Limit:
        90 % of the longest permanent link that `channel-length` allows this cable; the highest voltage or current
        that the lock or device is rated to.
    Remedy:
        The length to be confirmed on site, and the number that it has to stay below; for a highest voltage the cables
        to measure, or the source or rating that would do.
    Source:
        Common practice, no source: ten per cent is what a walked route commonly differs from a drawn one.
    """

    name: ClassVar[str] = "estimated-length"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that has a cable, for each lock power cable from elsewhere, and for highest voltages."""
        limits, highest = ChannelLimits(design), EstimatedHighs(design)
        for door in design.doors:
            route = door.cable.route if door.cable else None
            if route is None:
                yield not_evaluated(
                    self, door.subject, "No length: the cable has no route.",
                    "Connect it to a pathway, or state a run with its length.",
                )  # fmt: skip
            elif route.basis is LengthBasis.ESTIMATED:
                yield self._estimate(design, limits, door, route)
            else:
                yield stated(self, door.subject, True, f"The length is {route.basis.value}.")
        for cable in design.pathway_cables:
            if cable.kind is CableKind.LOCK_POWER:
                yield self._lock_power(design, cable)

        for door in design.doors:
            highs = highest.of(door)
            for unit in ("V", "A"):
                if told := tuple(high for high in highs if high.unit == unit):
                    yield self._highest(door, told)

    def _highest(self, door: DoorDesign, highs: tuple[EstimatedHigh, ...]) -> Finding:
        first = highs[0]
        about = _HIGHEST if first.unit == "V" else _HIGHEST_A
        refs = dict.fromkeys(ref for high in highs for ref in high.cables)
        cables = ", ".join(f"{door.mark}-{ref}" for ref in refs)
        told = "; ".join(_high_words(high) for high in highs)
        lengths = "length" if len(refs) == 1 else "lengths"
        return measured(
            self, door.subject, Measure(first.short, first.most, first.unit), severity=Severity.NOTE,
            message=f"{about.capitalize()} keeps its limit only by the estimated {lengths} of {cables}: {told}.",
            remedy=f"Measure {cables} and state the {lengths}; or {'; and '.join(_high_remedy(high) for high in highs)}.",
            about=about,
        )  # fmt: skip

    def _lock_power(self, design: Design, cable: DesignCable) -> Finding:
        subject, name = ("opening", cable.mark), f"lock power cable {cable.label} from {cable.from_id}"
        remedy = (
            f"Connect both ends with pathways, or measure the way and state a run from {cable.from_id} to {cable.mark}/supply with"
            " its length."
        )
        if cable.length_m is None:
            message = f"No way is known for {name}: its length and the voltage at the lock are not known."
            return not_evaluated(self, subject, message, remedy, about=_LOCK_POWER)
        length = format_length(cable.length_m, design.site.info.unit_system)
        if cable.basis != LengthBasis.ESTIMATED:
            return stated(self, subject, True, f"The length of {name} is {cable.basis}.", about=_LOCK_POWER)
        message = f"The length of {name} is estimated, {length}; the voltage at the lock is worked out with it."
        return stated(self, subject, False, message, severity=Severity.NOTE, remedy=remedy, about=_LOCK_POWER)

    def _estimate(self, design: Design, limits: ChannelLimits, door: DoorDesign, route: Route) -> Finding:
        system = design.site.info.unit_system
        cable_type = design.site.cable_type.get(door.cable.cable_type) if door.cable else None
        limit = limits.on(route, screened=cable_type is not None and cable_type.screened)
        near_m = _NEAR * limit.max_m
        shown, near_shown = format_pair(route.length_m, near_m, "m", system)
        longest = format_length(limit.max_m, system)
        return measured(
            self, door.subject, Measure(route.length_m, near_m, "m"), severity=Severity.NOTE,
            message=(
                f"Permanent link {shown} is estimated{_off(route, system)}; an estimate is safe up to {near_shown}, "
                f"90 % of {longest}."
            ),
            remedy=_remedy(route, longest),
        )  # fmt: skip


def _high_words(high: EstimatedHigh) -> str:
    """One highest voltage or current: as estimated, with short cables, and its limit."""
    shown, limit = format_pair(high.high, high.most, high.unit)
    short, same = format_pair(high.short, high.most, high.unit)
    limit = max(limit, same, key=len)
    return f"{high.what} {shown} as estimated, up to {short} with shorter cable, rated to {limit}"


def _high_remedy(high: EstimatedHigh) -> str:
    """What would do without a measured cable, in words."""
    most, least = format_at_most(high.most, high.unit), format_at_least(high.short, high.unit)
    if high.unit == "A":
        return f"use, in place of {high.what}, one rated to {least}"
    return f"feed {high.what} from a source of at most {most}, or use one rated to {least}"


def _off(route: Route, system: UnitSystem) -> str:
    """The metres off pathway, in words."""
    if not route.off_pathway_m:
        return ""
    if not route.segments and not route.path_m:
        return ", all of it off pathways"
    return f", {format_length(route.off_pathway_m, system)} of it off pathways"


def _remedy(route: Route, longest: str) -> str:
    walk = f"Measure the route and state the run's length, at most {longest}"
    return (
        f"{walk}; or bring a pathway to the opening." if route.off_pathway_m > BESIDE_PATHWAY_MAX.value else f"{walk}."
    )
