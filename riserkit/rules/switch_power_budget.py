"""The rule `switch-power-budget`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Severity
from riserkit.model.power import Switch
from riserkit.rules.base import Measure, measured, not_evaluated
from riserkit.rules.lookups import counted, doors_by_switch, listed
from riserkit.standards import poe
from riserkit.units import format_at_least, format_pair, format_value

_Share = tuple[float | None, float]
"""Watts of one door: known, None when not; and the most that its port could grant."""


class SwitchPowerBudget:
    """What all doors of a switch draw stays within what the switch can feed.

    Why:
        Power over the cable is shared twice: by class at the port and as one total in the switch. Beyond the total, ports are
        shut off by priority, and the doors on them release or stay locked. A magnet holds its watts day and night.
    Measures:
        Two sums over the openings of a switch: the power that the port sets aside for the class each device is granted,
        and the power that each link really takes at most, loss in the cable included.
    Limit:
        The switch's total power for ports. The sum of classes beyond it is a warning, since many switches share out by
        what is drawn; the sum really drawn is an error. An unknown load counts as all that its port could grant; where only that
        exceeds the total, nothing is decided.
    Remedy:
        The total that is needed, or how many of its doors have to go to another switch.
    Source:
        IEEE 802.3-2022 clauses 33 and 145, class powers at the port (verified); the total is the switch's own.
    """

    name: ClassVar[str] = "switch-power-budget"
    source: ClassVar[str] = poe.CLASS_POWERS.cite()

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Two findings for each switch that feeds doors, or one that says why not."""
        by_switch = doors_by_switch(design)
        for switch in design.site.switches:
            doors = by_switch[switch.id]
            if not doors:
                continue
            if switch.poe_budget_w is None:
                yield not_evaluated(
                    self, ("switch", switch.id), f"Its total power is not stated; it feeds {counted(len(doors), 'door')}.",
                    f"State poe_budget_w; the classes of its doors ask for {format_value(_most_w(doors), 'W')}.",
                )  # fmt: skip
                continue
            allocated, drawn = [_allocation(d) for d in doors], [_draw(d) for d in doors]
            yield self._sum(switch, switch.poe_budget_w, doors, allocated, "set aside by class", Severity.WARNING)
            yield self._sum(switch, switch.poe_budget_w, doors, drawn, "drawn at most", Severity.ERROR)

    def _sum(
        self, switch: Switch, budget_w: float, doors: Sequence[DoorDesign], shares: Sequence[_Share], what: str,
        severity: Severity,
    ) -> Finding:  # fmt: skip
        subject = ("switch", switch.id)
        unknown = [door.mark for door, (known_w, _) in zip(doors, shares, strict=True) if known_w is None]
        most = [bound_w if known_w is None else known_w for known_w, bound_w in shares]
        # Without the unknown ones it is already too much, or with the most they could take it is still enough: both decide.
        known_w = sum(known for known, _ in shares if known is not None)
        total_w = known_w if known_w > budget_w else sum(most)
        total, budget = format_pair(total_w, budget_w, "W")
        text = f"{counted(len(doors), 'door')}: {total} {what}, of {budget} that the switch can feed."
        if unknown and known_w <= budget_w < total_w:
            return not_evaluated(
                self, subject, f"{text[:-1]}; the load of {listed(unknown)} is unknown and counts as its port's class.",
                f"State the missing data of {counted(len(unknown), 'door')}; see missing-data.",
            )  # fmt: skip
        return measured(
            self, subject, Measure(total_w, budget_w, "W"), message=text, severity=severity,
            remedy=lambda: _remedy(most, total_w, budget_w),
        )  # fmt: skip


def _allocation(door: DoorDesign) -> _Share:
    port_w = _port_w(door)
    device = door.link.device_class if door.link else None
    if device is None:
        return None, port_w
    granted_w = min(port_w, poe.POE_CLASSES[device].p_pse_w)
    return granted_w, granted_w


def _draw(door: DoorDesign) -> _Share:
    return (door.link.pse_w if door.link else None), _allocation(door)[1]


def _port_w(door: DoorDesign) -> float:
    return poe.POE_CLASSES[door.placement.poe_class].p_pse_w if door.placement else 0.0


def _most_w(doors: Sequence[DoorDesign]) -> float:
    return sum(_allocation(door)[1] for door in doors)


def _remedy(shares: Sequence[float], total_w: float, budget_w: float) -> str:
    left_w, moved = sum(shares), 0
    for share_w in sorted(shares, reverse=True):
        if left_w <= budget_w:
            break
        left_w, moved = left_w - share_w, moved + 1
    need = format_at_least(total_w, "W")
    return f"A switch that can feed {need}, or {counted(moved, 'door')} on another switch: {format_value(left_w, 'W')} left."
