"""Ohms between any two terminals of a door with all power off, under every fault."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations as pairs_of
from typing import Final

import numpy as np

from riserkit.bench.faults import BenchFault
from riserkit.bench.switches import Combination
from riserkit.circuits.cases import T_REFERENCE_C, Cases, state_table
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solve import solve_cases
from riserkit.troubleshooting.netlists import FaultNetlists, batches
from riserkit.troubleshooting.ohms import ohms_between
from riserkit.wiring.readings.meter import VOLTS, Measurement, set_up_together

TIE_UP: Final = 1.0 + 1e-6
"""By what ohms are multiplied before digits are cut: 0.05 is then 0.1, which the last bit of a sum would decide otherwise."""


def terminal_pairs(terminals: Sequence[str]) -> tuple[tuple[int, int], ...]:
    """Places of every two terminals, the lower first."""
    return tuple(pairs_of(range(len(terminals)), 2))


def solve_ohms(
    netlists: FaultNetlists, faults: Sequence[BenchFault], combinations: Sequence[Combination], terminals: Sequence[str]
) -> FloatArray:
    """Ohms, infinite where open; not a number where a fault cannot be there.

    Args:
        netlists: of the door.
        faults: what may be at fault.
        combinations: of switches.
        terminals: between every two of which it is measured.

    Returns:
        Shape (faults, combinations, pairs of terminals).

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    place = {fault.way: n for n, fault in reversed(list(enumerate(faults)))}
    wired = {f.way: made for f in faults if (made := netlists(f.way)) is not None}
    found = np.full((len(faults), len(combinations), len(terminal_pairs(terminals))), np.nan)
    for batch in batches(wired, netlists.once):
        found[[place[way] for way in batch]] = _batch(list(batch.values()), combinations, terminals)
    return found[[place[fault.way] for fault in faults]]


def _batch(netlists: Sequence[Netlist], combinations: Sequence[Combination], terminals: Sequence[str]) -> FloatArray:
    # set up as for volts: an ohmmeter's own source has no part in the resistances that are worked out
    solved = set_up_together(netlists, Measurement(VOLTS, "", "", dead=True))
    known = set(solved.topology.outside)
    states = [{name: on for name, on in c.outside.items() if name in known} for c in combinations]
    n, m = len(netlists), len(combinations)
    cases = Cases(
        column=np.repeat(np.arange(n), m), level=np.zeros(n * m, dtype=np.int8),
        conductor_c=np.full(n * m, T_REFERENCE_C), state=np.tile(np.arange(m), n),
        states=state_table(solved.topology, states), acts=np.zeros((n * m, 0), dtype=np.int64),
    )  # fmt: skip
    solution = solve_cases(solved, cases)
    nodes = np.array([solved.topology.node(name) for name in terminals])
    one, two = np.array(terminal_pairs(terminals)).T
    return ohms_between(solved, cases, solution, nodes[one], nodes[two]).reshape(n, m, -1)
