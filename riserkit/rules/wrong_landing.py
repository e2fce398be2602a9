"""The rule `wrong-landing`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.as_built.differences import landed_name, was_and_is
from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.quantities.printed import upper_first
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.as_built import designed_circuit, landed_rows
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.landed import OtherLanding
from riserkit.wiring.readings.shown import MeterSheet
from riserkit.wiring.readings.wired import change_in_words


class WrongLanding:
    """A conductor that was landed otherwise than drawn does not change what the door does.

    Why:
        Every proof of the door, that people get out and others do not get in, is of the circuit as drawn. A conductor on
        another terminal makes another circuit. Some of these lock people in and work on the bench all the same.
    Measures:
        What the door does in every state of its contacts, inputs and power, at lowest and highest voltage: with the landings
        that came back, against as drawn. Only on a site worked out as built.
    Limit:
        No difference. A landing that changes nothing is a note, so that the next crew finds the wire.
    Remedy:
        Land the conductor as drawn, test the door again and return both; or redesign the door.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "wrong-landing"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each landing that is not as drawn; a pass for a door whose landings came back as drawn."""
        if design.site.as_built is None:
            return
        for door in design.doors:
            landed = landed_rows(door.wiring)
            if landed:
                yield from self._door(design, door, landed)
            elif design.site.as_built.landings_of.get(door.mark):
                yield stated(self, door.subject, True, "The landings that came back are as drawn.")

    def _door(self, design: Design, door: DoorDesign, landed: tuple[OtherLanding, ...]) -> Iterator[Finding]:
        info = design.site.info
        circuit, built = designed_circuit(door.wiring), door.wiring.netlist
        try:
            if circuit is None or built is None or circuit.netlist.unknown:
                changes: tuple[str, ...] | None = None
            else:
                sheet = MeterSheet(circuit, Temperatures.of(info))
                changes = sheet.all_changes_of([built])[0]
            why = "parts of the circuit lack values"
        except FAILURES as error:
            changes, why = None, f"the circuit as built cannot be solved: {failure_words(error)}"
        together = " together with the other landings" if len(landed) > 1 else ""
        for one in landed:
            name, (was, is_now) = landed_name(one), was_and_is(one)
            said = f"{name}: {is_now}, drawn {was} ({one.returned.by}, {one.returned.date.isoformat()})"
            remedy = f"Land it as drawn, {was}; test the door again and return landing and readings."
            if changes is None:
                found = not_evaluated(
                    self, door.subject, f"{upper_first(said)}. What it changes: {why}.", remedy, about=name
                )
                yield found
            elif changes:
                words = f"{upper_first(said)}. It changes{together}: {', '.join(_words(circuit, changes))}."
                yield stated(self, door.subject, False, words, remedy=remedy, about=name)
            else:
                words = f"{upper_first(said)}. It changes nothing of what the door does."
                yield stated(
                    self, door.subject, False, words, severity=Severity.NOTE, about=name,
                    remedy="Mark the conductor at both ends, or land it as drawn.",
                )  # fmt: skip


def _words(circuit: DoorCircuit | None, changes: tuple[str, ...]) -> tuple[str, ...]:
    said = (change_in_words(circuit.netlist, change) for change in changes) if circuit is not None else changes
    return tuple(dict.fromkeys(said))
