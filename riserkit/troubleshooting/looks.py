"""What can be looked at at a door without a meter, and what that takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from riserkit.troubleshooting.asks import effort_at
from riserkit.troubleshooting.landings import landing_places
from riserkit.troubleshooting.sights import MOTION, PRESSED, at_each, reports
from riserkit.troubleshooting.states import IDLE, RELEASED, door_states
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import DeviceRole, ElementRole

_SEEN_IN: Final = (IDLE, RELEASED, MOTION, PRESSED)
_AT_THE_DOOR: Final = 0.3
"""What a glance, a click or a question to whoever sees the controller's reports takes (common practice, no source)."""
_A_WIRE: Final = 0.1
"""What it takes to look at each terminal with a wire, beside a reading within reach (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Look:
    """Something to look at without a meter.

    Args:
        answers: what may be seen, each as `read_sight` has it, two of them. Where wires are landed the first is that all are as
            listed; the others are of one terminal each, and several may be so.
        effort: what it takes beside a reading at a device within reach, which is 1.
        device: whose wires are looked at, by designation; empty where it is no wires.
    """

    answers: tuple[str, ...]
    effort: float
    device: str = ""


def looks(circuit: DoorCircuit) -> Iterator[Look]:
    """What can be looked at at a door without a meter.

    Where there are several devices of a kind each is looked at by itself.
    """
    yield from (Look(answers, _AT_THE_DOOR) for answers in _at_the_door(circuit))
    for device, ends in landing_places(circuit.netlist).items():
        answers = (f"as listed at {device}", *(f"not as listed at {end}" for end in ends))
        used = {str(end) for c in circuit.netlist.conductors for end in (c.a, c.b) if end.component == device}
        yield Look(answers, effort_at(circuit.netlist.component(device)) + _A_WIRE * len(used), device)


def _at_the_door(circuit: DoorCircuit) -> Iterator[tuple[str, str]]:
    netlist = circuit.netlist
    states = [words for words in door_states(circuit) if words.startswith(_SEEN_IN)]
    for words in states:
        for at in at_each(circuit.locks):
            yield f"lock locked{at} in {words}", f"lock released{at} in {words}"
    for at in at_each([c.ref for c in netlist.devices(DeviceRole.READER)]):
        yield f"reader lit{at}", f"reader dark{at}"
        if circuit.command:
            yield f"card read{at}", f"card not read{at}"
    if netlist.devices(DeviceRole.CONTROLLER):
        yield "controller online", "controller offline"
    yield from reports(circuit)
    for at in at_each([name.partition(".")[0] for name in netlist.elements(ElementRole.MODULE_COIL)]):
        for words in states:
            yield f"relay on{at} in {words}", f"relay off{at} in {words}"
