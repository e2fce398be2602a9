"""The faults that can be put into a door on the bench: no fault, then every single one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.troubleshooting.changes import Way, Wired
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.wired import wire_words

JOINTS_OHM: Final = (1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0, 5000.0)
"""Resistances of a poor joint that are solved."""

_JOINT_WEIGHT: Final = 4.0


@dataclass(frozen=True, slots=True)
class BenchFault:
    """One fault, or none.

    Args:
        kind: of the fault; empty for no fault.
        words: as a foreman says it.
        blames: conductors and `component.element` that are at fault.
        way: the changes that make the netlist.
        weight: how often it is met beside the others.
        joint_ohm: of a poor joint; 0 for all others.
        dead: designations of devices that do nothing whatever their supply.
    """

    kind: str
    words: str
    blames: frozenset[str]
    way: Way
    weight: float = 1.0
    joint_ohm: float = 0.0
    dead: frozenset[str] = frozenset()


NO_FAULT: Final = BenchFault("", "no fault", frozenset(), ())


def bench_faults(circuit: DoorCircuit) -> tuple[BenchFault, ...]:
    """No fault, then every single fault; a poor joint once for each of `JOINTS_OHM`.

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    suspects = single_suspects(circuit)
    poor = {ref for s in suspects if s.joint_ohm is not None for ref in s.blames}
    joints = [
        BenchFault(
            str(SuspectKind.POOR_JOINT), f"poor joint of {ohm:g} ohm in {wire_words(c)}", frozenset({c.ref}),
            (Wired(Miswiring(MiswiringKind.POOR_JOINT, (c.ref,), r_ohm=ohm)),), _JOINT_WEIGHT / len(JOINTS_OHM), ohm,
        )
        for c in circuit.netlist.conductors if c.ref in poor for ohm in JOINTS_OHM
    ]  # fmt: skip
    return (NO_FAULT, *(_of(s) for s in suspects if s.joint_ohm is None), *joints)


def _of(suspect: Suspect) -> BenchFault:
    return BenchFault(
        str(suspect.kind), suspect.words, suspect.blames, suspect.ways[0], suspect.weight, dead=suspect.dead
    )
