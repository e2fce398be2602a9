"""Worst cases: lowest and highest source, coldest and hottest conductor, all loads on, for many netlists at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import Cases, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases


class SupplyAndHeat(NamedTuple):
    """One worst case: which source level, and whether the conductors are at their hottest."""

    level: SourceLevel
    hot: bool

    def __str__(self) -> str:
        """`lowest source, hottest conductor`, as it is printed."""
        level = "lowest" if self.level is SourceLevel.LOW else "highest"
        return f"{level} source, {'hottest' if self.hot else 'coldest'} conductor"


WORST_CASES = (
    SupplyAndHeat(SourceLevel.LOW, False),
    SupplyAndHeat(SourceLevel.LOW, True),
    SupplyAndHeat(SourceLevel.HIGH, False),
    SupplyAndHeat(SourceLevel.HIGH, True),
)
"""In the order of the second axis of every array of worst cases."""


@dataclass(frozen=True, slots=True)
class WorstCaseGroup:
    """Netlists of one structure, solved at all worst cases.

    Arrays asked of it have the shape (states, worst cases, circuits).

    Attributes:
        circuit: their structure and values.
        states: how many states.
        solution: all cases, states slowest, circuits fastest.
    """

    circuit: Circuit
    states: int
    solution: Solution

    def _shaped(self, values: FloatArray) -> FloatArray:
        return values.reshape(self.states, len(WORST_CASES), self.circuit.count)

    def node_v(self, name: str) -> FloatArray:
        """Voltage of a node `component.terminal`."""
        return self._shaped(self.solution.node_v(name))

    def element_v(self, name: str) -> FloatArray:
        """Voltage across an element from a to b."""
        return self._shaped(self.solution.element_v(name))

    def element_a(self, name: str) -> FloatArray:
        """Current through an element from a to b; negative in a source that feeds."""
        return self._shaped(self.solution.element_a(name))

    def sound(self) -> npt.NDArray[np.bool_]:
        """Cases without trouble; `solution.demand_sound()` says what the trouble is."""
        return self.solution.sound.reshape(self.states, len(WORST_CASES), self.circuit.count)


def solve_worst_cases(
    circuit: Circuit, ends_c: tuple[FloatArray, FloatArray], states: Sequence[State], energised: bool = False
) -> WorstCaseGroup:
    """Solve circuits of one structure in every state at all four worst cases.

    Args:
        circuit: structure and values.
        ends_c: coldest and hottest conductor in °C, each of shape (circuits,).
        states: outside states that are on; a name that the structure lacks is left out.
        energised: coils start powered instead of at rest.
    """
    cases = _cases(circuit, ends_c[0], ends_c[1], states, energised)
    return WorstCaseGroup(circuit, len(states), solve_cases(circuit, cases))


def _cases(circuit: Circuit, cold: FloatArray, hot: FloatArray, states: Sequence[State], energised: bool) -> Cases:
    n, here = circuit.count, set(circuit.topology.outside)
    own = [{name: on for name, on in state.items() if name in here} for state in states]
    level = np.repeat(np.array([c.level for c in WORST_CASES], dtype=np.int8), n)
    conductor_c = np.concatenate([hot if c.hot else cold for c in WORST_CASES])
    count = len(states) * level.size
    return Cases(
        column=np.tile(np.arange(n), len(states) * len(WORST_CASES)),
        level=np.tile(level, len(states)),
        conductor_c=np.tile(conductor_c, len(states)),
        state=np.repeat(np.arange(len(states)), level.size),
        states=state_table(circuit.topology, own),
        acts=np.zeros((count, 0), dtype=np.int64),
        energised=energised,
    )
