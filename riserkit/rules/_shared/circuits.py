"""Circuits as rules look at them: one for all doors wired alike, and which of their sources are asked for too much."""

from __future__ import annotations

from riserkit.design import DoorDesign
from riserkit.wiring.arrangement import CircuitBuild, DoorCircuit


class CircuitsAlike:
    """Circuits of a design's doors. Doors whose circuits differ by lengths only are shown that of the first of them."""

    def __init__(self) -> None:
        self._circuits: dict[tuple[object, ...], DoorCircuit | None] = {}

    def circuit(self, door: DoorDesign) -> DoorCircuit | None:
        """The circuit of the door, lengths aside; None when it has none."""
        build = door.wiring.build
        if not isinstance(build, CircuitBuild):
            return door.wiring.circuit
        if build.key not in self._circuits:
            self._circuits[build.key] = door.wiring.circuit
        return self._circuits[build.key]


def over_limit(door: DoorDesign, circuit: DoorCircuit, source: str) -> bool:
    """Whether a source `component.element` of the door is asked for more than it gives: its voltage is not known then."""
    drawn = door.wiring.drawn
    tests = {circuit.output: "output-limit", circuit.auxiliary: "auxiliary-limit", circuit.supply: "supply-limit"}
    return drawn is not None and bool(source) and tests.get(source) in {reason.name for reason in drawn.failed}
