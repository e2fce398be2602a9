"""The rule `switch-class-budget`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.power_shares import budget_findings, class_share
from riserkit.standards import poe


class SwitchClassBudget:
    """What a switch sets aside for the classes of all its doors stays within what it can feed.

    Why:
        Many switches set the whole power of a class aside as a device comes up, whatever it draws afterwards. Then
        the last doors to come up after a power failure get nothing, and which doors these are differs each time.
    Measures:
        The sum over the openings of a switch of the power at the port for the class that each device is granted: the
        lower of what it asks for and what its port offers; and the switch's other_w.
    Limit:
        The switch's total power for ports. Beyond it is a warning, since a switch that shares out by what is drawn
        may still feed them all; `switch-power-budget` sums that. A device of unknown class counts as its port's
        class; where only that exceeds the total, nothing is decided.
    Remedy:
        The total that is needed, or how many of its doors have to go to another switch.
    Source:
        IEEE 802.3-2022 clauses 33 and 145, class powers at the port (verified); the total is the switch's own data.
    """

    name: ClassVar[str] = "switch-class-budget"
    source: ClassVar[str] = poe.CLASS_POWERS.cite()
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each switch that feeds doors."""
        yield from budget_findings(self, design, class_share, "set aside by class", Severity.WARNING)
