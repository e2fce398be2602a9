"""Every state under every fault: how coils stand and what the inputs see."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Cases, Effects, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuit_of, mover_rows
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.faults import Fault, effects_of
from riserkit.circuits.independence import Independence, Parts
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.settle import COLLAPSED, UNSETTLED
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_parts
from riserkit.circuits.topology import Topology

POWERED, RELEASED, EITHER = 1, 0, -1
"""A coil at or above its pull-in voltage; below its drop-out voltage; between them, or untold: history decides."""

_FEW = 8
"""So few states are solved in every combination: to look for parts would take longer."""


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
        """State of one coil, shape (faults, states)."""
        states: npt.NDArray[np.int8] = self.coil[:, :, self.coil_index(name)]
        return states

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
    row: dict[Fault, int] = {}
    row_of: dict[int, int] = {}
    most = max((len(together) for together in faults), default=0)
    acts = np.zeros((len(faults), most), dtype=np.int64)
    for k, together in enumerate(faults):
        for place, fault in enumerate(together):
            # most faults come again and again as the same object, and to look one up by what it says takes longer
            if id(fault) not in row_of:
                row_of[id(fault)] = row.setdefault(fault, len(row) + 1)
            acts[k, place] = row_of[id(fault)]
    topology, effects = effects_of(circuit.topology, list(row))
    joined = Circuit(topology, circuit.params)
    asked = _Asked(joined, tuple(states), tuple(faults), tuple(watched), acts, effects)
    return asked.solved(at, np.broadcast_to(energised, (len(faults), len(topology.movers))))


_Start = tuple[tuple[SourceLevel, float], BoolArray]


@dataclass(frozen=True)
class _Asked:
    """States and faults of one circuit, and what is kept of each case."""

    circuit: Circuit
    states: tuple[State, ...]
    faults: tuple[tuple[Fault, ...], ...]
    watched: tuple[str, ...]
    acts: IntArray
    effects: Effects

    def solved(self, at: tuple[SourceLevel, float], energised: BoolArray) -> Study:
        """Every state under every fault, those combinations solved that are not made up of others."""
        topology = self.circuit.topology
        table = self._table
        kept = _Kept.empty((len(self.faults), len(self.states)), len(topology.movers), len(self.watched))
        alike = self._alike() if len(table) > _FEW else {}
        whole = [] if alike else list(range(len(self.faults)))
        for groups, rows in alike.items():
            whole += self._in_parts(kept, rows, groups, np.zeros(table.shape[1], dtype=np.bool_), (at, energised))
        if whole:
            kept.put(np.array(sorted(whole)), self._cases(sorted(whole), table, (at, energised)))
        coils = tuple(topology.elements[k].name for k in topology.movers)
        return Study(
            self.states, self.faults, coils, self.watched, kept.coil, kept.coil_v, kept.watched_a, kept.collapsed,
            kept.unsettled,
        )  # fmt: skip

    @cached_property
    def _table(self) -> BoolArray:
        return state_table(self.circuit.topology, self.states)

    def _in_parts(
        self, kept: _Kept, rows: list[int], groups: Independence, base: BoolArray, start: _Start
    ) -> list[int]:
        """Faults under which the groups are solved one by one, the others standing as in `base`; which are left over.

        Where the circuit is ill in `base` it is not known which part makes it so: then in another state that is not.
        """
        outside = np.array(groups.outside, dtype=np.int64)
        each = [np.where(outside == group, self._table, base) for group in range(max(groups.count, 1))]
        apart, place = np.unique(np.concatenate([base[None], *each]), axis=0, return_inverse=True)
        if len(apart) >= len(self._table):
            return rows
        place = place.reshape(-1)
        found = self._cases(rows, apart, start)
        ill = found.unsettled | found.collapsed
        sound = np.flatnonzero(~ill[:, place[0]])
        self._put_together(
            kept, np.array(rows)[sound], found.of(sound), groups, place[1:].reshape(-1, len(self._table))
        )
        bad = np.flatnonzero(ill[:, place[0]])
        left = [rows[k] for k in bad]
        if base.any() or not left:
            return left
        return self._in_parts(kept, left, groups, apart[int(ill[bad].sum(axis=0).argmin())], start)

    def _alike(self) -> dict[Independence, list[int]]:
        """Faults by which outside states act together under them."""
        joins: BoolArray = np.logical_or.reduce(self.effects.join_g[self.acts] != 0.0, axis=1)
        parts = Parts(self.circuit.topology)
        by_join: dict[tuple[int, ...], list[int]] = {}
        for row, here in enumerate(joins):
            by_join.setdefault(tuple(np.flatnonzero(here).tolist()), []).append(row)
        alike: dict[Independence, list[int]] = {}
        for made, rows in by_join.items():
            alike.setdefault(parts.independence(made), []).extend(rows)
        return alike

    def _put_together(self, kept: _Kept, rows: IntArray, found: _Kept, groups: Independence, place: IntArray) -> None:
        """What each element does in a state is what it does with the states of the other groups at rest.

        A state is ill when any of its parts is, and says nothing of any coil where a part has no solution.
        """
        if not rows.size:
            return
        topology = self.circuit.topology
        for column in place:
            for whole, part in zip(
                (kept.unknown, kept.unsettled, kept.collapsed),
                (found.unknown, found.unsettled, found.collapsed),
                strict=True,
            ):
                whole[rows] |= part[:, column]
        for k, element in enumerate(topology.movers):
            column = place[max(groups.elements[element], 0)]
            kept.coil[rows, :, k], kept.coil_v[rows, :, k] = found.coil[:, column, k], found.coil_v[:, column, k]
        for k, name in enumerate(self.watched):
            column = place[max(groups.elements[topology.element(name)], 0)]
            kept.watched_a[rows, :, k] = found.watched_a[:, column, k]
        kept.coil[rows] = np.where(kept.unknown[rows, :, None], EITHER, kept.coil[rows])

    def _cases(self, rows: list[int], table: BoolArray, start: _Start) -> _Kept:
        """Some faults in the states of a table, each solved by itself."""
        n_states, count = len(table), len(table) * len(rows)
        at, energised = start
        cases = Cases(
            column=np.zeros(count, dtype=np.int64),
            level=np.full(count, at[0], dtype=np.int8),
            conductor_c=np.full(count, at[1]),
            state=np.tile(np.arange(n_states), len(rows)),
            states=table,
            acts=np.repeat(self.acts[rows], n_states, axis=0),
            effects=self.effects,
            energised=np.repeat(energised[rows], n_states, axis=0),
        )
        return _collect(self.circuit, cases, (len(rows), n_states), self.watched)


@dataclass(frozen=True, slots=True)
class _Kept:
    """What is kept of solved cases; shapes as in `Study`."""

    coil: npt.NDArray[np.int8]
    coil_v: FloatArray
    watched_a: FloatArray
    collapsed: BoolArray
    unsettled: BoolArray
    unknown: BoolArray

    @classmethod
    def empty(cls, shape: tuple[int, int], coils: int, watched: int) -> _Kept:
        """Room for cases of this shape, none of them ill."""
        return cls(
            np.empty((*shape, coils), dtype=np.int8), np.empty((*shape, coils)), np.empty((*shape, watched)),
            *(np.zeros(shape, dtype=np.bool_) for _ in range(3)),
        )  # fmt: skip

    def of(self, rows: IntArray) -> _Kept:
        """Some of the faults."""
        return _Kept(
            self.coil[rows], self.coil_v[rows], self.watched_a[rows], self.collapsed[rows], self.unsettled[rows],
            self.unknown[rows],
        )  # fmt: skip

    def put(self, rows: IntArray, found: _Kept) -> None:
        """Take over what was found for some of the faults."""
        self.coil[rows], self.coil_v[rows], self.watched_a[rows] = found.coil, found.coil_v, found.watched_a
        self.collapsed[rows], self.unsettled[rows] = found.collapsed, found.unsettled
        self.unknown[rows] = found.unknown


def _collect(circuit: Circuit, cases: Cases, shape: tuple[int, int], watched: tuple[str, ...]) -> _Kept:
    topology = circuit.topology
    elements = [topology.element(name) for name in watched]
    coil, coil_v, watched_a, collapsed, unsettled, untold = [], [], [], [], [], []
    for part in solve_parts(circuit, cases):
        volts = _coil_v(topology, part)
        ill = (part.trouble != 0) | (part.adrift >= 0)
        unknown = (part.trouble == UNSETTLED) | (part.adrift >= 0)
        coil.append(np.where(unknown, EITHER, _coil_states(circuit, part)).astype(np.int8))
        coil_v.append(volts)
        watched_a.append(part.a[elements])
        collapsed.append(np.logical_or.reduce(part.load == COLLAPSED, axis=0))
        unsettled.append(ill)
        untold.append(unknown)
    return _Kept(
        coil=np.concatenate(coil, axis=1).T.reshape(*shape, -1),
        coil_v=np.concatenate(coil_v, axis=1).T.reshape(*shape, -1),
        watched_a=np.concatenate(watched_a, axis=1).T.reshape(*shape, -1),
        collapsed=np.concatenate(collapsed).reshape(shape),
        unsettled=np.concatenate(unsettled).reshape(shape),
        unknown=np.concatenate(untold).reshape(shape),
    )


def _coil_v(topology: Topology, part: Solution) -> FloatArray:
    ends = [topology.elements[k] for k in topology.movers]
    volts: FloatArray = part.v[[b.a for b in ends]] - part.v[[b.b for b in ends]]
    return volts


def _coil_states(circuit: Circuit, part: Solution) -> npt.NDArray[np.int8]:
    """By voltage alone, over the whole course of a circuit without rest.

    Where pull-in or drop-out is not stated the comparison fails, and it stays EITHER.
    """
    states = np.full(part.coil.shape, EITHER, dtype=np.int8)
    for k, element in enumerate(circuit.topology.movers):
        pull_in, drop_out = mover_rows(circuit.topology, element)
        states[k, part.coil_high_v[k] < circuit.params[drop_out, 0]] = RELEASED
        states[k, part.coil_low_v[k] >= circuit.params[pull_in, 0]] = POWERED
    return states
