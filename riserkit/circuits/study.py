"""Every state under every fault: how coils stand and what the inputs see."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuit_of, mover_rows
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.faults import Fault, effects_of
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.settle import COLLAPSED, UNSETTLED
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_parts
from riserkit.circuits.topology import Topology

POWERED, RELEASED, EITHER = 1, 0, -1
"""A coil at or above its pull-in voltage; below its drop-out voltage; between them, or untold: history decides."""


@dataclass(frozen=True, slots=True)
class Study:
    """All states under all faults of one circuit. Arrays have the shape (faults, states, ...).

    Attributes:
        states: the outside states, second axis.
        faults: the faults or acts at work together, first axis; the first entry is usually the empty one.
        coils: `component.element` of every coil, third axis of `coil` and `coil_v`.
        watched: elements whose current is kept, third axis of `watched_a`.
        coil: POWERED, RELEASED or EITHER by the coil's own voltage.
        coil_v: voltage across each coil from a to b.
        watched_a: current through each watched element from a to b.
        collapsed: some constant-power load asks for more than can reach it, and is taken as off.
        unsettled: the circuit has no resting point (a coil oscillates); coils that see both sides of it are EITHER.
    """

    states: tuple[State, ...]
    faults: tuple[tuple[Fault, ...], ...]
    coils: tuple[str, ...]
    watched: tuple[str, ...]
    coil: npt.NDArray[np.int8]
    coil_v: FloatArray
    watched_a: FloatArray
    collapsed: BoolArray
    unsettled: BoolArray

    @property
    def count(self) -> int:
        """Number of cases solved."""
        return int(self.collapsed.size)

    def coil_index(self, name: str) -> int:
        """Place of a coil on the third axis; UnknownControlError when there is none of that name."""
        if name not in self.coils:
            raise UnknownControlError(name, f"no such coil; there are {', '.join(self.coils) or 'none'}")
        return self.coils.index(name)

    def pulled_in(self) -> BoolArray:
        """Coils that are powered in some state, or may be, shape (faults, coils)."""
        some: BoolArray = ((self.coil == POWERED) | (self.unsettled[:, :, None] & (self.coil != RELEASED))).any(axis=1)
        return some

    def coil_states(self, name: str) -> npt.NDArray[np.int8]:
        """How one coil stands, shape (faults, states)."""
        stands: npt.NDArray[np.int8] = self.coil[:, :, self.coil_index(name)]
        return stands

    def current_a(self, name: str) -> FloatArray:
        """Current through one watched element, shape (faults, states)."""
        if name not in self.watched:
            raise UnknownControlError(name, f"is not watched; watched are {', '.join(self.watched) or 'none'}")
        current_a: FloatArray = self.watched_a[:, :, self.watched.index(name)]
        return current_a


def study(
    netlist: Netlist,
    states: Sequence[State],
    faults: Sequence[tuple[Fault, ...]] = ((),),
    watched: Iterable[str] = (),
    at: tuple[SourceLevel, float] = (SourceLevel.NOMINAL, T_REFERENCE_C),
    energised: bool | BoolArray = False,
) -> Study:
    """Solve every state under every fault.

    Args:
        netlist: the circuit.
        states: outside states, as from `states.all_states`.
        faults: what is at fault together; `()` for the sound circuit.
        watched: elements whose currents are wanted, such as input contacts.
        at: source level and conductor temperature in °C.
        energised: relay coils start powered instead of at rest: all of them, or those said for each fault, shape (faults,
            coils).

    Raises:
        CircuitError: the netlist is ill-posed, or a state, a fault or a watched element is not in it.
    """
    circuit = circuit_of(netlist)
    single = list(dict.fromkeys(fault for together in faults for fault in together))
    topology, effects = effects_of(circuit.topology, single)
    joined = Circuit(topology, circuit.params)
    row = {fault: k for k, fault in enumerate(single, start=1)}
    most = max((len(together) for together in faults), default=0)
    acts = np.zeros((len(faults), most), dtype=np.int64)
    for k, together in enumerate(faults):
        acts[k, : len(together)] = [row[fault] for fault in together]
    n_states, count = len(states), len(states) * len(faults)
    cases = Cases(
        column=np.zeros(count, dtype=np.int64),
        level=np.full(count, at[0], dtype=np.int8),
        conductor_c=np.full(count, at[1]),
        state=np.tile(np.arange(n_states), len(faults)),
        states=state_table(topology, states),
        acts=np.repeat(acts, n_states, axis=0),
        effects=effects,
        energised=energised if isinstance(energised, bool) else np.repeat(energised, n_states, axis=0),
    )
    return _collect(joined, cases, tuple(states), tuple(faults), tuple(watched))


def _collect(
    circuit: Circuit,
    cases: Cases,
    states: tuple[State, ...],
    faults: tuple[tuple[Fault, ...], ...],
    watched: tuple[str, ...],
) -> Study:
    topology = circuit.topology
    elements = [topology.element(name) for name in watched]
    coil, coil_v, watched_a, collapsed, unsettled = [], [], [], [], []
    for part in solve_parts(circuit, cases):
        volts = _coil_v(topology, part)
        ill = (part.trouble != 0) | (part.adrift >= 0)
        unknown = (part.trouble == UNSETTLED) | (part.adrift >= 0)
        coil.append(np.where(unknown, EITHER, _stands(circuit, part)).astype(np.int8))
        coil_v.append(volts)
        watched_a.append(part.a[elements])
        collapsed.append(np.logical_or.reduce(part.load == COLLAPSED, axis=0))
        unsettled.append(ill)
    shape = (len(faults), len(states))
    return Study(
        states=states,
        faults=faults,
        coils=tuple(topology.elements[k].name for k in topology.movers),
        watched=watched,
        coil=np.concatenate(coil, axis=1).T.reshape(*shape, -1),
        coil_v=np.concatenate(coil_v, axis=1).T.reshape(*shape, -1),
        watched_a=np.concatenate(watched_a, axis=1).T.reshape(*shape, -1),
        collapsed=np.concatenate(collapsed).reshape(shape),
        unsettled=np.concatenate(unsettled).reshape(shape),
    )


def _coil_v(topology: Topology, part: Solution) -> FloatArray:
    ends = [topology.elements[k] for k in topology.movers]
    volts: FloatArray = part.v[[b.a for b in ends]] - part.v[[b.b for b in ends]]
    return volts


def _stands(circuit: Circuit, part: Solution) -> npt.NDArray[np.int8]:
    """By voltage alone, over the whole course of a circuit without rest.

    Where pull-in or drop-out is not stated the comparison fails, and it stays EITHER.
    """
    stands = np.full(part.coil.shape, EITHER, dtype=np.int8)
    for k, element in enumerate(circuit.topology.movers):
        pull_in, drop_out = mover_rows(circuit.topology, element)
        stands[k, part.coil_high_v[k] < circuit.params[drop_out, 0]] = RELEASED
        stands[k, part.coil_low_v[k] >= circuit.params[pull_in, 0]] = POWERED
    return stands
