"""The rule `channel-length`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.model.cabling import CableType
from riserkit.network.values import CableRun, Route
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import (
    UnitSystem,
    format_at_least,
    format_at_most,
    format_length,
    format_pair,
    format_value,
)
from riserkit.rules._shared.base import Measure, Subject, measured, not_evaluated
from riserkit.rules._shared.channel_limits import ChannelLimits, LinkLimit
from riserkit.rules._shared.lookups import closet_name, sentence
from riserkit.rules._shared.other_closets import OtherClosets
from riserkit.standards import cabling
from riserkit.standards.source import NotTabulatedError


class ChannelLength:
    """The copper between switch and door is no longer than the cabling standard allows.

    Why:
        Beyond its length a channel attenuates more than the equipment is made for: the link drops frames, or comes up
        in the cool morning and fails in the afternoon. It shows only after the ceiling is closed.
    Measures:
        The permanent link, as measured, stated, routed or estimated, of each horizontal cable and each backbone cable
        of balanced pairs, at the temperature of the hottest stretch of its route: that of the pathway, and the rise within
        the bundle there with every cable at the power its port grants. An optical backbone cable longer than 300 m is not
        evaluated.
    Limit:
        90 m of permanent link and 100 m of channel; less when cords are longer or thinner, after the cord-length
        formula, and less where the pathway is warmer than 20 °C, for screened and unscreened cable each. A cord gauge
        or temperature outside the published tables fails what is too long in any case and is not evaluated otherwise.
    Remedy:
        The nearest closet with a free port and the length from there; shorter or thicker cords; screened cable; else
        how near a new switch position must be.
    Source:
        TIA-568.2-D. Lengths and the cord factors are verified, the cord formula and the temperature table are from
        memory. That cords and temperature shorten the link together, in proportion, is this program's reading.
    """

    name: ClassVar[str] = "channel-length"
    source: ClassVar[str] = cabling.LENGTHS.cite()
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK
    derated_source: ClassVar[str] = f"{cabling.LENGTHS.cite()}; {cabling.DERATING.cite()}"

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening, and for each backbone cable of balanced pairs."""
        limits = ChannelLimits(design)
        others = OtherClosets(design, limits)
        for door in design.doors:
            yield self._cable(design, others, door.subject, door.cable)
        for cable in design.backbone:
            cable_type = design.site.cable_type.get(cable.cable_type)
            if cable_type is not None and cable_type.kind == "category":
                yield self._cable(design, others, ("cable", cable.subject), cable)
            elif cable.route is not None and cable.route.length_m > cabling.OPTICAL_UNASKED.value:
                yield self._optical(design, cable, cable.route)

    def _cable(self, design: Design, others: OtherClosets, subject: Subject, cable: CableRun | None) -> Finding:
        if cable is None or cable.route is None:
            return not_evaluated(
                self, subject, "No length: the cable has no route.",
                "Connect it to a pathway, or state a run with its length.",
            )  # fmt: skip
        cable_type = design.site.cable_type.get(cable.cable_type)
        if cable_type is None or cable_type.kind != "category":
            return not_evaluated(
                self, subject, f"Cable {cable.cable_type or 'type unknown'} is not a four-pair balanced cable.",
                "State a cable type of kind category with four pairs.",
            )  # fmt: skip
        return self._length(others, subject, cable.route, cable_type)

    def _optical(self, design: Design, cable: CableRun, route: Route) -> Finding:
        system = design.site.info.unit_system
        shown, most = format_pair(route.length_m, cabling.OPTICAL_UNASKED.value, "m", system)
        found = not_evaluated(
            self, ("cable", cable.subject),
            f"Optical backbone {shown} ({route.basis.value}); up to {most} any transceiver reaches over multimode fibre."
            " What this one reaches depends on fibre and transceiver.",
            "Check the reach of its transceivers over this fibre and accept this with their data, or use single-mode fibre.",
        )  # fmt: skip
        return replace(found, source=cabling.OPTICAL.cite())

    def _length(self, others: OtherClosets, subject: Subject, route: Route, cable_type: CableType) -> Finding:
        limits, system = others.limits, others.design.site.info.unit_system
        limit = limits.on(route, cable_type.screened)
        shown, limit_shown = format_pair(route.length_m, limit.max_m, "m", system)
        text = (
            f"Permanent link {shown} ({route.basis.value}), at most {limit_shown} {limits.terms(limit.temp_c, system)}"
            f"{limits.bundle_terms(route, system)}"
        )
        if limit.unknown and limit.kept_by(route.length_m):
            return not_evaluated(self, subject, f"{text}; but {limit.unknown}.", limit.remedy)
        return measured(
            self, subject, Measure(route.length_m, limit.max_m, "m"), message=f"{text}.",
            remedy=lambda: _remedy(others, subject, route, cable_type, limit),
            source=self.source if limit.max_m == cabling.PERMANENT_LINK_M else self.derated_source,
        )  # fmt: skip


def _remedy(others: OtherClosets, subject: Subject, route: Route, cable_type: CableType, limit: LinkLimit) -> str:
    limits, system = others.limits, others.design.site.info.unit_system
    ways = []
    if subject[0] == "opening":
        ways += list(_other_closet(others, subject[1], route, cable_type.screened))
    ways += list(_cords(limits, route, cable_type.screened, system))
    if not cable_type.screened:
        screened = limits.link(limit.temp_c, screened=True)
        if not screened.unknown and screened.kept_by(route.length_m):
            ways.append(f"screened cable, good for {format_at_most(screened.max_m, 'm', system)} here")
    if not ways:
        nearer = format_at_most(limit.max_m, "m", system)
        over = format_at_least(route.length_m - limit.max_m, "m", system)
        ways.append(f"a new switch position within {nearer} of cable, {over} nearer than now")
    return sentence(ways)


def _other_closet(others: OtherClosets, mark: str, route: Route, screened: bool) -> Iterator[str]:
    other = others.nearest(mark, route.from_id, screened=screened)
    if other is not None:
        length = format_length(other.length_m, others.design.site.info.unit_system)
        name = closet_name(others.design, other.closet)
        yield f"move to {name}: {length}, {counted(other.free_ports, 'port')} free"


def _cords(limits: ChannelLimits, route: Route, screened: bool, system: UnitSystem) -> Iterator[str]:
    try:
        cords_m = limits.cords_for(route.length_m, limits.temperature_c(route), screened)
    except NotTabulatedError:
        return
    if 0 < cords_m < limits.cords_m:
        most, now = format_at_most(cords_m, "m", system), format_value(limits.cords_m, "m", system)
        yield f"cords of at most {most} together instead of {now}"
