"""What doors take of one switch's total power, known or at most, summed against the total."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Severity
from riserkit.model.power import Switch
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_at_least, format_pair, format_value
from riserkit.rules._shared.base import Measure, Rule, Subject, measured, not_evaluated, within
from riserkit.rules._shared.lookups import doors_by_switch, listed
from riserkit.standards import poe


@dataclass(frozen=True, slots=True)
class Share:
    """Watts of one door at the port: `known_w`, None when unknown, and the most that its port could grant."""

    known_w: float | None
    most_w: float


def class_share(door: DoorDesign) -> Share:
    """What the port sets aside for the class that the device is granted."""
    port_w = poe.POE_CLASSES[door.placement.poe_class].p_pse_w if door.placement else 0.0
    device = door.link.device_class if door.link else None
    if device is None:
        return Share(None, port_w)
    granted_w = min(port_w, poe.POE_CLASSES[device].p_pse_w)
    return Share(granted_w, granted_w)


def drawn_share(door: DoorDesign) -> Share:
    """What the link takes at most, loss in the cable included."""
    return Share(door.link.pse_w if door.link else None, class_share(door).most_w)


def budget_findings(
    rule: Rule, design: Design, share_of: Callable[[DoorDesign], Share], what: str, severity: Severity
) -> Iterator[Finding]:
    """A finding for each switch that feeds doors.

    Args:
        rule: the rule that speaks.
        design: the design.
        share_of: what one door takes.
        what: how it is taken, in words.
        severity: of a sum beyond the total.
    """
    by_switch = doors_by_switch(design)
    for switch in design.site.switches:
        doors = by_switch[switch.id]
        if not doors:
            continue
        shares = [share_of(door) for door in doors]
        if switch.poe_budget_w is None:
            most = format_value(sum(share.most_w for share in shares) + (switch.other_w or 0.0), "W")
            yield not_evaluated(
                rule, ("switch", switch.id), f"Its total power is not stated; it feeds {counted(len(doors), 'door')}.",
                f"State poe_budget_w; {'doors and other devices' if switch.other_w else 'its doors'} may ask for {most}.",
            )  # fmt: skip
        else:
            yield _Sum(rule, switch, switch.poe_budget_w, doors, shares).finding(what, severity)


@dataclass(frozen=True, slots=True)
class _Sum:
    rule: Rule
    switch: Switch
    budget_w: float
    doors: Sequence[DoorDesign]
    shares: Sequence[Share]

    def finding(self, what: str, severity: Severity) -> Finding:
        other_w = self.switch.other_w or 0.0  # a switch that states none is for doors alone
        known_w = other_w + sum(share.known_w for share in self.shares if share.known_w is not None)
        most = [share.most_w if share.known_w is None else share.known_w for share in self.shares]
        unknown = [door.mark for door, share in zip(self.doors, self.shares, strict=True) if share.known_w is None]
        # Too much even without the unknown ones, or enough with the most they could take: both decide.
        decided = not within(known_w, self.budget_w)
        total_w = known_w if decided else other_w + sum(most)
        measure = Measure(total_w, self.budget_w, "W")
        total, budget = format_pair(total_w, self.budget_w, "W")
        others = f" and {format_value(other_w, 'W')} of other devices" if other_w else ""
        text = f"{counted(len(self.doors), 'door')}{others}: {total} {what}, of {budget} that the switch can feed"
        subject: Subject = ("switch", self.switch.id)
        if unknown and not decided and not measure.kept:
            return not_evaluated(
                self.rule, subject, f"{text}; the load of {listed(unknown)} is unknown and counts as its port's class.",
                f"State the missing data of {counted(len(unknown), 'door')}; see missing-data.",
            )  # fmt: skip
        return measured(
            self.rule,
            subject,
            measure,
            message=f"{text}.",
            severity=severity,
            remedy=lambda: _remedy(most, other_w, measure),
        )


def _remedy(shares_w: Sequence[float], other_w: float, measure: Measure) -> str:
    left_w, moved = other_w + sum(shares_w), 0
    for share_w in sorted(shares_w, reverse=True):
        if within(left_w, measure.limit):
            break
        left_w, moved = left_w - share_w, moved + 1
    need, left = format_at_least(measure.value, "W"), format_value(left_w, "W")
    if not within(left_w, measure.limit):
        return f"A switch that can feed {need}; other devices alone ask for more than this one can."
    return f"A switch that can feed {need}, or {counted(moved, 'door')} on another switch: {left} left."
