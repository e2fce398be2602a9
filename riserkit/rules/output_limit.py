"""The rule `output-limit`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import Controller, Relay
from riserkit.quantities.printed import format_at_least, format_pair, format_value, upper_first
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, follows, measured, not_evaluated
from riserkit.rules._shared.lookups import controller_of, unsolved


class OutputLimit:
    """The lock draws no more from the controller's lock output than that output can switch.

    Why:
        A solid-state output rated 0.6 A at 12 V gives 0.6 A whatever feeds the controller: more watts at the port do
        not help. Beyond it the output shuts off, and the lock drops out or never pulls in.
    Measures:
        The most current out of the lock output, pull-in included, with all locks on it, as solved.
    Limit:
        The controller's own output limit. An opening whose lock is fed otherwise is not measured.
    Remedy:
        A relay module whose contact carries the current, with lock power from elsewhere; or the current that would
        do.
    Source:
        Common practice, no source; the limit is the controller's data.
    """

    name: ClassVar[str] = "output-limit"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that uses the lock output, or that cannot be judged."""
        for door in design.doors:
            output_a = door.wiring.voltages.output_a
            if output_a is not None:
                yield self._output(design, door, output_a)
            elif why := unsolved(door):
                yield follows(self, door.subject, f"The output current is unknown: {why}.")

    def _output(self, design: Design, door: DoorDesign, output_a: float) -> Finding:
        controller = controller_of(design, door)
        if controller is None or controller.output_limit_a is None:
            name = controller.id if controller else "its controller"
            return not_evaluated(
                self,
                door.subject,
                f"The output limit of {name} is not stated.",
                f"State output_limit_a of {name}.",
            )
        limit_a = controller.output_limit_a
        shown, limit = format_pair(output_a, limit_a, "A")
        return measured(
            self, door.subject, Measure(output_a, limit_a, "A"),
            message=f"The lock output gives {shown} at most; {controller.id} switches up to {limit}.",
            remedy=lambda: _remedy(design, door, controller, output_a, limit_a),
        )  # fmt: skip


def _remedy(design: Design, door: DoorDesign, controller: Controller, output_a: float, limit_a: float) -> str:
    relays = sorted(
        (part.contact_a, part.id)
        for part in design.site.parts
        if isinstance(part, Relay)
        and part.contact_a is not None
        and part.contact_a >= output_a
        and _works(part, controller)
    )
    stated = [relay for relay in relays if relay[1] == door.opening.relay] or relays
    less = f"locks that draw {format_at_least(output_a - limit_a, 'A')} less"
    if not stated:
        return f"{upper_first(less)}."
    contact_a, relay = stated[0]
    carries = format_value(contact_a, "A")
    return f"Relay module {relay}, whose contact carries {carries}, with lock power from elsewhere; or {less}."


def _works(relay: Relay, controller: Controller) -> bool:
    """The controller's auxiliary output is of the module's voltage, and it can command it."""
    return relay.coil_v == controller.auxiliary_v and (relay.command == "voltage" or controller.module_link)
