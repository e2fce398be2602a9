"""The rule `ups-behind-fail-safe`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.power import Switch
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_at_least
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated
from riserkit.rules._shared.lookups import doors_by_switch, fail_mode_of, listed, lock_of, unsolved
from riserkit.wiring.closets import POE_CABLE


class UpsBehindFailSafe:
    """A switch that keeps doors locked over the PoE cable is on a UPS.

    Why:
        A fail-safe lock fed over the PoE cable is held by the switch. When the mains blink the switch restarts, and
        for minutes every such door of it is open.
    Measures:
        Openings whose lock is released when unpowered and whose wiring has no DC supply of its own, for each switch
        that is not on a UPS; and openings that no arrangement suits while one is rejected for want of a UPS alone.
    Limit:
        None of them. That a UPS does not take away release by the fire alarm or by the manual release has to be
        verified on site.
    Remedy:
        A UPS and the watts that these doors ask of it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "ups-behind-fail-safe"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each switch that feeds doors."""
        by_switch = doors_by_switch(design)
        for switch in design.site.switches:
            if by_switch[switch.id]:
                yield self._switch(design, switch, by_switch[switch.id])

    def _switch(self, design: Design, switch: Switch, doors: Sequence[DoorDesign]) -> Finding:
        subject = ("switch", switch.id)
        if switch.is_on_ups:
            return stated(self, subject, True, f"On a UPS, with {counted(len(doors), 'door')} behind it.")
        rejected = [door.mark for door in doors if _is_rejected(door)]
        if rejected:
            said = "not stated to be on a UPS" if switch.is_on_ups is None else "not on a UPS"
            found = stated(
                self, subject, False,
                f"It is {said}, so {listed(rejected)} cannot be powered over the PoE cable, and no other wiring is suitable.",
                remedy="Put the switch on a UPS, state on_ups yes and check again.",
            )  # fmt: skip
            return replace(found, serves=tuple(rejected))
        answers = [(door, _is_held(design, door)) for door in doors]
        held = [door for door, answer in answers if answer]
        unknown = [door.mark for door, answer in answers if answer is None]
        if held and switch.is_on_ups is None:
            return not_evaluated(
                self, subject, f"It holds {counted(len(held), 'door')} locked; whether it is on a UPS is not stated.",
                "State on_ups yes or no.",
            )  # fmt: skip
        if unknown and not held:
            return not_evaluated(
                self, subject, f"Lock feed or fail mode is unknown at {listed(unknown)}.",
                f"State the missing data of {counted(len(unknown), 'door')}; see missing-data.",
            )  # fmt: skip
        found = measured(
            self, subject, Measure(len(held), 0, "doors"), severity=Severity.WARNING,
            message=f"Not on a UPS; it holds {_held_text(held)} locked over the PoE cable.",
            remedy=lambda: _remedy(held),
        )  # fmt: skip
        return replace(found, serves=tuple(door.mark for door in held))


def _is_rejected(door: DoorDesign) -> bool:
    """No arrangement suits, and one fails for want of a UPS alone."""
    wiring = door.wiring
    if wiring.missing or (wiring.chosen is not None and wiring.chosen.feasible):
        return False
    return any(
        [reason.name for reason in candidate.failed] == ["missing-backup"] for candidate in wiring.considered
    ) or any(
        {reason.name for reason in candidate.reasons if reason.passed is not True} == {"missing-backup"}
        for candidate in wiring.considered
    )


def _is_held(design: Design, door: DoorDesign) -> bool | None:
    lock = lock_of(design, door)
    mode = fail_mode_of(design, door)
    if lock is not None and (mode == "fail-secure" or lock.own_supply):
        return False
    candidate = door.wiring.drawn
    if not mode or candidate is None or unsolved(door):
        return None
    return candidate.supply_at == POE_CABLE


def _held_text(held: Sequence[DoorDesign]) -> str:
    return f"{counted(len(held), 'door')} ({listed(d.mark for d in held)})" if held else "no door"


def _remedy(held: Sequence[DoorDesign]) -> str:
    known_w = [door.link.pse_w for door in held if door.link is not None and door.link.pse_w is not None]
    watts = format_at_least(sum(known_w), "W") if len(known_w) == len(held) else ""
    load = f" for {watts} of these doors and the switch's own load" if watts else f" for {counted(len(held), 'door')}"
    return f"Put the switch on a UPS{load}; or feed these locks from a DC supply with battery."
