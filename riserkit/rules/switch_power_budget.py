"""The rule `switch-power-budget`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.power_shares import budget_findings, drawn_share


class SwitchPowerBudget:
    """What all doors of a switch draw stays within what the switch can feed.

    Why:
        Power over the cable is shared twice: by class at the port and as one total in the switch. Beyond the total,
        ports are shut off by priority, and the doors on them release or stay locked. A magnet holds its watts day and
        night.
    Measures:
        The sum over the openings of a switch of the power that each link takes at most, loss in the cable included, and its
        other_w.
    Limit:
        The switch's total power for ports. An unknown load counts as all that its port could grant; where only that
        exceeds the total, nothing is decided.
    Remedy:
        The total that is needed, or how many of its doors have to go to another switch.
    Source:
        Common practice, no source: the total is the switch's own data; the draw is solved for each link.
    """

    name: ClassVar[str] = "switch-power-budget"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each switch that feeds doors."""
        yield from budget_findings(self, design, drawn_share, "drawn at most", Severity.ERROR)
