"""All that was solved of one topology, and what it shows: the same look-ups that a page does."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riserkit.bench.faults import BenchFault, bench_faults
from riserkit.bench.live import STEADY, LiveCases, solve_live
from riserkit.bench.ohms import solve_ohms, terminal_pairs
from riserkit.bench.switches import (
    MOST_COMBINATIONS,
    BenchSwitch,
    Combination,
    bench_switches,
    dead_combinations,
    live_combinations,
)
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.topology import key_of
from riserkit.troubleshooting.metered import reading_v
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.ohms import linear_to_an_ohmmeter
from riserkit.wiring.arrangement import DoorCircuit


@dataclass(frozen=True)
class BenchTable:
    """A topology solved.

    Args:
        circuit: of one of its doors.
        switches: what can be done; the credential first where there is one.
        faults: no fault, then every single one.
        combinations: of switches, those that `live` has.
        live: under power.
        dead: combinations with power off, those that `ohms` has.
        ohms: shape (faults, dead combinations, pairs of terminals); None where an ohmmeter would move something.
        netlists: of the faults.
    """

    circuit: DoorCircuit
    switches: tuple[BenchSwitch, ...]
    faults: tuple[BenchFault, ...]
    combinations: tuple[Combination, ...]
    live: LiveCases
    dead: tuple[Combination, ...]
    ohms: FloatArray | None
    netlists: FaultNetlists

    @cached_property
    def combination_of(self) -> dict[frozenset[int], int]:
        """Place of a combination by the switches that are on, the credential left out."""
        return {c.on: n for n, c in enumerate(self.combinations)}

    @cached_property
    def terminal_of(self) -> dict[str, int]:
        """Place of a terminal by name."""
        return {name: n for n, name in enumerate(self.live.terminals)}

    def volts(self, fault: int, combination: int, credential: bool, plus: str, minus: str) -> float | None:
        """What a meter shows; None where nothing steady is to be read."""
        live, case = self.live, (fault, combination, int(credential))
        if live.trouble[case] != STEADY:
            return None
        pattern, drift = live.patterns.found[live.pattern[case]], live.patterns.drifts[live.drift[case]]
        return reading_v(pattern, drift, self.terminal_of[plus], self.terminal_of[minus], live.v[case])

    def ohms_between(self, fault: int, dead: int, plus: str, minus: str) -> float | None:
        """Ohms with power off, infinite where open; None where they are not solved."""
        if self.ohms is None or plus == minus:
            return None if self.ohms is None else 0.0
        a, b = sorted((self.terminal_of[plus], self.terminal_of[minus]))
        value = float(self.ohms[fault, dead, self.pair_of[a, b]])
        return None if np.isnan(value) else value

    @cached_property
    def pair_of(self) -> dict[tuple[int, int], int]:
        """Place of a pair of terminals."""
        return {pair: n for n, pair in enumerate(terminal_pairs(self.live.terminals))}


def bench_table(circuit: DoorCircuit, most: int = MOST_COMBINATIONS) -> BenchTable:
    """Solve a topology.

    Args:
        circuit: of one of its doors.
        most: combinations of switches, the credential left out.

    Raises:
        CircuitError: the circuit is ill-posed.
    """
    switches = bench_switches(circuit)
    netlists = FaultNetlists(circuit)
    faults = tuple(f for f in bench_faults(circuit) if netlists(f.way) is not None)
    combinations = live_combinations(circuit, switches, most)
    live = solve_live(netlists, faults, combinations)
    dead = dead_combinations(circuit, switches)
    linear = linear_to_an_ohmmeter(circuit.netlist)
    ohms = solve_ohms(netlists, faults, dead, live.terminals) if linear else None
    return BenchTable(circuit, switches, faults, combinations, live, dead, ohms, netlists)


def table_key(circuit: DoorCircuit) -> str:
    """Equal for doors of one topology and the same values, whose numbers are the same; of letters and digits."""
    netlist = circuit.netlist
    told = (
        key_of(netlist), _values(netlist), _wires(netlist), circuit.locks, circuit.fail_safe, circuit.command,
        sorted(circuit.locked_state.items()), circuit.relay,
    )  # fmt: skip
    return "t" + hashlib.sha256(repr(told).encode()).hexdigest()[:12]


def _values(netlist: Netlist) -> Sequence[object]:
    return [
        (c.ref, c.role, c.part, c.place, [(e.name, e.role, sorted(e.values.items())) for e in c.elements])
        for c in netlist.components
    ]


def _wires(netlist: Netlist) -> Sequence[object]:
    """Conductors with their resistances; of those without any element at one end, which carry data, without."""
    carrying = {f"{c.ref}.{end}" for c in netlist.components for e in c.elements for end in (e.a, e.b)}
    joined = [(c, str(c.a) in carrying or str(c.b) in carrying) for c in netlist.conductors]
    return [(c.ref, c.colour, c.gauge, c.cable, round(c.r20_ohm, 9) if counts else 0.0) for c, counts in joined]
