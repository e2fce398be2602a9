"""The rule `auxiliary-limit`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.quantities.printed import format_at_least, format_pair, format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, follows, measured, not_evaluated
from riserkit.rules._shared.lookups import controller_of, unsolved


class AuxiliaryLimit:
    """Sensors, readers and relay modules draw no more from the auxiliary output than it gives.

    Why:
        The auxiliary output feeds what makes the door safe to leave: the sensor that asks for release, the module
        that holds the lock. Overloaded, it folds back and takes them all down together.
    Measures:
        The most current out of the controller's auxiliary output with everything on it energised, as solved.
    Limit:
        The controller's own auxiliary limit. An opening that does not use the output is not measured.
    Remedy:
        The amperes that have to come from an outside supply instead.
    Source:
        Common practice, no source; the limit is the controller's data.
    """

    name: ClassVar[str] = "auxiliary-limit"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that uses the auxiliary output, or that cannot be judged."""
        for door in design.doors:
            auxiliary_a = door.wiring.voltages.auxiliary_a
            if auxiliary_a is not None:
                yield self._auxiliary(design, door, auxiliary_a)
            elif why := unsolved(door):
                yield follows(self, door.subject, f"The auxiliary current is unknown: {why}.")

    def _auxiliary(self, design: Design, door: DoorDesign, auxiliary_a: float) -> Finding:
        controller = controller_of(design, door)
        if controller is None or controller.auxiliary_limit_a is None:
            name = controller.id if controller else "its controller"
            return not_evaluated(
                self, door.subject,
                f"The auxiliary limit of {name} is not stated; {format_value(auxiliary_a, 'A')} depend on it.",
                f"State auxiliary_limit_a of {name}.",
            )  # fmt: skip
        limit_a = controller.auxiliary_limit_a
        shown, limit = format_pair(auxiliary_a, limit_a, "A")
        return measured(
            self, door.subject, Measure(auxiliary_a, limit_a, "A"),
            message=f"The auxiliary output gives {shown} at most; {controller.id} allows {limit}.",
            remedy=(
                f"Take {format_at_least(auxiliary_a - limit_a, 'A')} off the output: use an outside supply of at least "
                f"{format_at_least(auxiliary_a, 'A')}, or use parts that draw less."
            ),
        )  # fmt: skip
