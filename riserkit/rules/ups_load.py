"""The rule `ups-load`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.power import Switch, Ups
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_at_least, format_pair, format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated, within
from riserkit.rules._shared.lookups import doors_by_switch, listed
from riserkit.rules._shared.ups_loads import other_load_w, unknown_loads


class UpsLoad:
    """No UPS gives more watts than it is rated for.

    Why:
        A battery may be large enough for hours while the inverter before it is not large enough for a minute: on the day
        the mains fail it shuts down, and with it every switch and door behind it.
    Measures:
        What the ports of its switches give to doors at most, loss in the cable included, and what the switches draw
        themselves; and other_w of it and of them. Whether it stands in the closet of its switches.
    Limit:
        Its rated output in watts, output_w; the same closet.
    Remedy:
        The watts that are needed.
    Source:
        Common practice, no source: the rated output is the UPS's own data; the draw is solved for each link.
    """

    name: ClassVar[str] = "ups-load"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each UPS that feeds a switch with doors."""
        by_switch = doors_by_switch(design)
        for ups in design.site.upses:
            switches = [switch for switch in design.site.switches if switch.ups == ups.id]
            yield from self._elsewhere(ups, switches)
            doors = [door for switch in switches for door in by_switch[switch.id]]
            if doors:
                yield self._ups(ups, switches, doors)

    def _elsewhere(self, ups: Ups, switches: Sequence[Switch]) -> Iterator[Finding]:
        for switch in switches:
            if switch.closet != ups.closet:
                yield stated(
                    self, ("ups", ups.id), False,
                    f"It stands in closet {ups.closet} and is named by {switch.id} in closet {switch.closet}.",
                    severity=Severity.WARNING, about=f"place of {switch.id}",
                    remedy=f"Check ups of {switch.id}. A supply from another closet is a mains circuit of its own, for a licensed"
                    " electrician: where there is one, accept the finding.",
                )  # fmt: skip

    def _ups(self, ups: Ups, switches: Sequence[Switch], doors: Sequence[DoorDesign]) -> Finding:
        subject = ("ups", ups.id)
        ports_w = {door.mark: door.link.pse_w if door.link else None for door in doors}
        own_w = {switch.id: switch.own_w for switch in switches}
        other_w = other_load_w(ups, switches)
        known_w = other_w + sum(watts for watts in (*ports_w.values(), *own_w.values()) if watts is not None)
        if ups.output_w is None:
            return not_evaluated(
                self, subject, f"Its rated output is not stated; it gives {format_value(known_w, 'W')} as far as is known.",
                f"State output_w of {ups.id}.",
            )  # fmt: skip
        unknown, remedy = unknown_loads(ports_w, own_w)
        if unknown and within(known_w, ups.output_w):
            return not_evaluated(self, subject, f"Its load is not known: {listed(unknown)}.", remedy)
        others = f" and other devices of {format_value(other_w, 'W')}" if other_w else ""
        shown, rated = format_pair(known_w, ups.output_w, "W")
        return measured(
            self, subject, Measure(known_w, ups.output_w, "W"),
            message=f"Its switches with {counted(len(doors), 'door')}{others} draw {shown} at most, rated {rated}.",
            remedy=lambda: f"A UPS rated at least {format_at_least(known_w, 'W')}, or another UPS for some of its switches.",
        )  # fmt: skip
