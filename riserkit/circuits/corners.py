"""Corner cases: lowest and highest source, coldest and hottest conductor, all loads on, for many netlists at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import Cases, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuits_of
from riserkit.circuits.elimination import FloatArray, IntArray
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases


class Corner(NamedTuple):
    """One corner: which source level, and whether the conductors are at their hottest."""

    level: SourceLevel
    hot: bool

    def __str__(self) -> str:
        """`lowest source, hottest conductor`, as it is printed."""
        level = "lowest" if self.level is SourceLevel.LOW else "highest"
        return f"{level} source, {'hottest' if self.hot else 'coldest'} conductor"


CORNERS = (
    Corner(SourceLevel.LOW, False),
    Corner(SourceLevel.LOW, True),
    Corner(SourceLevel.HIGH, False),
    Corner(SourceLevel.HIGH, True),
)
"""In the order of the second axis of every corner array."""


@dataclass(frozen=True, slots=True)
class CornerGroup:
    """Netlists of one structure, solved at all corners.

    Arrays asked of it have the shape (states, corners, circuits).

    Attributes:
        index: places of these netlists in the list given, shape (circuits,).
        circuit: their structure and values.
        states: how many states.
        solution: all cases, states slowest, circuits fastest.
    """

    index: IntArray
    circuit: Circuit
    states: int
    solution: Solution

    def _shaped(self, values: FloatArray) -> FloatArray:
        return values.reshape(self.states, len(CORNERS), self.circuit.count)

    def node_v(self, name: str) -> FloatArray:
        """Voltage of a node `component.terminal`."""
        return self._shaped(self.solution.node_v(name))

    def element_v(self, name: str) -> FloatArray:
        """Voltage across an element from a to b."""
        return self._shaped(self.solution.element_v(name))

    def element_a(self, name: str) -> FloatArray:
        """Current through an element from a to b; negative in a source that feeds."""
        return self._shaped(self.solution.element_a(name))

    def conductor_a(self, ref: str) -> FloatArray:
        """Current through a conductor from a to b."""
        return self._shaped(self.solution.conductor_a(ref))

    def sound(self) -> npt.NDArray[np.bool_]:
        """Cases without trouble; `solution.demand_sound()` says what the trouble is."""
        return self.solution.sound.reshape(self.states, len(CORNERS), self.circuit.count)


@dataclass(frozen=True, slots=True)
class Corners:
    """Solved corners of a list of netlists; `group_of[k]` and `column_of[k]` say where netlist k went."""

    groups: tuple[CornerGroup, ...]
    group_of: IntArray
    column_of: IntArray

    def element_v(self, netlist: int, name: str) -> FloatArray:
        """Voltage across an element of one netlist, shape (states, corners)."""
        values: FloatArray = self.groups[self.group_of[netlist]].element_v(name)[:, :, self.column_of[netlist]]
        return values

    def element_a(self, netlist: int, name: str) -> FloatArray:
        """Current through an element of one netlist, shape (states, corners)."""
        values: FloatArray = self.groups[self.group_of[netlist]].element_a(name)[:, :, self.column_of[netlist]]
        return values

    def sound(self, netlist: int) -> bool:
        """Whether every state of one netlist has a solution at every corner."""
        return bool(self.groups[self.group_of[netlist]].sound()[:, :, self.column_of[netlist]].all())

    @property
    def count(self) -> int:
        """Number of cases solved."""
        return sum(group.solution.count for group in self.groups)


def solve_corners(
    netlists: Sequence[Netlist],
    low_c: float | FloatArray,
    high_c: float | FloatArray,
    states: Sequence[State] = ({},),
    energised: bool = False,
) -> Corners:
    """Solve every netlist in every state at all four corners, one batch a structure.

    Args:
        netlists: circuits, of any structures.
        low_c: coldest conductor in °C, one for all or one for each netlist.
        high_c: hottest conductor in °C, likewise.
        states: outside states that are on; a name that one structure lacks is left out there.
        energised: coils start powered instead of at rest.

    Returns:
        Solutions by structure. Trouble is marked in them, not raised.

    Raises:
        CircuitError: a netlist is ill-posed, or a state is known to none of the netlists.
    """
    groups = circuits_of(netlists)
    cold = np.broadcast_to(np.asarray(low_c, dtype=np.float64), (len(netlists),))
    hot = np.broadcast_to(np.asarray(high_c, dtype=np.float64), (len(netlists),))
    _check_names(states, {name for group in groups for name in group.circuit.topology.outside})
    group_of = np.zeros(len(netlists), dtype=np.int64)
    column_of = np.zeros(len(netlists), dtype=np.int64)
    solved = []
    for place, group in enumerate(groups):
        group_of[group.index] = place
        column_of[group.index] = np.arange(group.index.size)
        ends = (cold[group.index], hot[group.index])
        solved.append(replace(corners_of(group.circuit, ends, states, energised), index=group.index))
    return Corners(tuple(solved), group_of, column_of)


def corners_of(
    circuit: Circuit, ends_c: tuple[FloatArray, FloatArray], states: Sequence[State], energised: bool = False
) -> CornerGroup:
    """Solve circuits of one structure in every state at all four corners.

    Args:
        circuit: structure and values.
        ends_c: coldest and hottest conductor in °C, each of shape (circuits,).
        states: outside states that are on; a name that the structure lacks is left out.
        energised: coils start powered instead of at rest.
    """
    cases = _cases(circuit, ends_c[0], ends_c[1], states, energised)
    return CornerGroup(np.arange(circuit.count), circuit, len(states), solve_cases(circuit, cases))


def _check_names(states: Sequence[State], known: set[str]) -> None:
    for name in sorted({name for state in states for name in state} - known):
        raise UnknownControlError(name, f"no netlist has this state; there are {', '.join(sorted(known)) or 'none'}")


def _cases(circuit: Circuit, cold: FloatArray, hot: FloatArray, states: Sequence[State], energised: bool) -> Cases:
    n, here = circuit.count, set(circuit.topology.outside)
    own = [{name: on for name, on in state.items() if name in here} for state in states]
    level = np.repeat(np.array([c.level for c in CORNERS], dtype=np.int8), n)
    conductor_c = np.concatenate([hot if c.hot else cold for c in CORNERS])
    count = len(states) * level.size
    return Cases(
        column=np.tile(np.arange(n), len(states) * len(CORNERS)),
        level=np.tile(level, len(states)),
        conductor_c=np.tile(conductor_c, len(states)),
        state=np.repeat(np.arange(len(states)), level.size),
        states=state_table(circuit.topology, own),
        acts=np.zeros((count, 0), dtype=np.int64),
        energised=energised,
    )
