"""Which cases of a circuit are to be solved: source level, temperature, outside states, faults.

A case is a row of small indices into tables, so that a hundred thousand cases take little memory; the solver
spells them out a few thousand at a time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.topology import Topology

T_REFERENCE_C = 20.0
"""Temperature at which a conductor's `r20_ohm` is stated."""


class SourceLevel(IntEnum):
    """Which of a source's three voltages it gives."""

    NOMINAL = 0
    LOW = 1
    HIGH = 2


@dataclass(frozen=True, slots=True)
class Effects:
    """What each fault or act does to the circuit; row 0 does nothing.

    Attributes:
        off: elements and conductors taken out, shape (effects, elements + conductors).
        on: contacts welded shut, shape (effects, elements).
        join_g: conductance added at each join in siemens, shape (effects, joins).
        join_a: current added at each join from a to b, in amperes, shape (effects, joins).
    """

    off: BoolArray
    on: BoolArray
    join_g: FloatArray
    join_a: FloatArray


@dataclass(frozen=True, slots=True)
class Cases:
    """Cases by index; all arrays have one entry a case.

    Attributes:
        column: the circuit, as column of `Circuit.params`.
        level: source level, values of `SourceLevel`.
        conductor_c: conductor temperature in °C.
        state: row of `states`.
        states: outside states on or off, shape (states, topology.outside).
        acts: rows of `effects`, shape (cases, acts at a time); 0 for none.
        effects: None where nothing is at fault.
        energised: coils start powered (contacts moved) instead of at rest; matters between drop-out and pull-in. One for
            all, or one for each case and coil, shape (cases, topology.movers).
    """

    column: IntArray
    level: npt.NDArray[np.int8]
    conductor_c: FloatArray
    state: IntArray
    states: BoolArray
    acts: IntArray
    effects: Effects | None = None
    energised: bool | BoolArray = False

    @property
    def count(self) -> int:
        """Number of cases."""
        return int(self.column.shape[0])

    def part(self, start: int, stop: int) -> Cases:
        """The cases from `start` up to, not including, `stop`."""
        cut = slice(start, stop)
        return Cases(
            self.column[cut],
            self.level[cut],
            self.conductor_c[cut],
            self.state[cut],
            self.states,
            self.acts[cut],
            self.effects,
            self.energised if isinstance(self.energised, bool) else self.energised[cut],
        )


State = Mapping[str, bool]
"""Outside states by name; those not named are at rest (off)."""


def state_table(topology: Topology, states: Sequence[State]) -> BoolArray:
    """Spell out states as a table, shape (states, topology.outside).

    Raises:
        UnknownControlError: a state names nothing that this structure has.
    """
    table = np.zeros((len(states), len(topology.outside)), dtype=np.bool_)
    for row, state in enumerate(states):
        for name, value in state.items():
            if name not in topology.outside:
                known = ", ".join(topology.outside) or "none"
                raise UnknownControlError(name, f"no contact is moved by this state; there are {known}")
            table[row, topology.outside.index(name)] = value
    return table


def plain_cases(
    circuit: Circuit,
    states: Sequence[State] = ({},),
    level: SourceLevel = SourceLevel.NOMINAL,
    conductor_c: float = T_REFERENCE_C,
    energised: bool = False,
) -> Cases:
    """Every circuit in every state, states running fastest, no fault.

    Raises:
        UnknownControlError: a state names nothing that this structure has.
    """
    n_states = len(states)
    count = circuit.count * n_states
    return Cases(
        column=np.repeat(np.arange(circuit.count), n_states),
        level=np.full(count, level, dtype=np.int8),
        conductor_c=np.full(count, float(conductor_c)),
        state=np.tile(np.arange(n_states), circuit.count),
        states=state_table(circuit.topology, states),
        acts=np.zeros((count, 0), dtype=np.int64),
        energised=energised,
    )
