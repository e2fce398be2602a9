"""Every state under every fault: how coils stand and what the inputs see."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Cases, Effects, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuits_of
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.errors import CircuitValueError, UnknownControlError
from riserkit.circuits.faults import Fault, effects_of
from riserkit.circuits.independence import Independence, Parts
from riserkit.circuits.kept_cases import EITHER, POWERED, RELEASED, CasesKept, collected
from riserkit.circuits.netlist import Netlist

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


@dataclass(frozen=True, slots=True)
class StudyCondition:
    """What every state and fault is solved at.

    Args:
        netlist: the circuit, with its values.
        level: of the sources.
        conductor_c: temperature of the conductors in °C.
        energised: relay coils start powered instead of at rest: all of them, or those said for each fault, shape (faults,
            coils).
    """

    netlist: Netlist
    level: SourceLevel = SourceLevel.NOMINAL
    conductor_c: float = T_REFERENCE_C
    energised: bool | BoolArray = False


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
        energised: as in `StudyCondition`.

    Raises:
        CircuitError: the netlist is ill-posed, or a state, a fault or a watched element is not in it.
    """
    return study_at([StudyCondition(netlist, *at, energised)], states, faults, watched)[0]


def study_at(
    conditions: Sequence[StudyCondition],
    states: Sequence[State],
    faults: Sequence[tuple[Fault, ...]] = ((),),
    watched: Iterable[str] = (),
) -> tuple[Study, ...]:
    """Solve every state under every fault at each of several conditions, whose netlists differ by values only.

    Returns:
        One for each condition.

    Raises:
        CircuitError: as `study`.
        CircuitValueError: the netlists are not of one structure.
    """
    groups = circuits_of([condition.netlist for condition in conditions])
    if len(groups) != 1:
        raise CircuitValueError(
            "conditions", f"{len(groups)} structures; netlists studied together differ by values only"
        )
    circuit = groups[0].circuit
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
    coils = (len(faults), len(topology.movers))
    starts = _Starts(
        np.repeat(np.arange(len(conditions)), len(faults)),
        np.repeat(np.array([one.level for one in conditions], dtype=np.int8), len(faults)),
        np.repeat(np.array([one.conductor_c for one in conditions]), len(faults)),
        np.concatenate([np.broadcast_to(one.energised, coils) for one in conditions]),
    )
    asked = _Asked(
        Circuit(topology, circuit.params),
        tuple(states),
        tuple(watched),
        np.tile(acts, (len(conditions), 1)),
        effects,
        starts,
    )
    return asked.solved(tuple(faults))


@dataclass(frozen=True, slots=True)
class _Starts:
    """At what each fault is solved, shape (rows, ...): a row a fault, one condition after the other."""

    column: IntArray
    level: npt.NDArray[np.int8]
    conductor_c: FloatArray
    energised: BoolArray


@dataclass(frozen=True)
class _Asked:
    """States, and faults at their conditions, of one structure, and what is kept of each case."""

    circuit: Circuit
    states: tuple[State, ...]
    watched: tuple[str, ...]
    acts: IntArray
    effects: Effects
    starts: _Starts

    def solved(self, faults: tuple[tuple[Fault, ...], ...]) -> tuple[Study, ...]:
        """Every state under every fault, those combinations solved that are not made up of others; one for each condition."""
        topology = self.circuit.topology
        table = self._table
        kept = CasesKept.empty((len(self.acts), len(self.states)), len(topology.movers), len(self.watched))
        alike = self._alike() if len(table) > _FEW else {}
        whole = [] if alike else list(range(len(self.acts)))
        for groups, rows in alike.items():
            whole += self._in_parts(kept, rows, groups, np.zeros(table.shape[1], dtype=np.bool_))
        if whole:
            kept.put(np.array(sorted(whole)), self._cases(sorted(whole), table))
        coils = tuple(topology.elements[k].name for k in topology.movers)
        parts = [kept.of(np.arange(k, k + len(faults))) for k in range(0, len(self.acts), len(faults))]
        return tuple(
            Study(
                self.states, faults, coils, self.watched, part.coil, part.coil_v, part.watched_a, part.collapsed,
                part.unsettled,
            )
            for part in parts
        )  # fmt: skip

    @cached_property
    def _table(self) -> BoolArray:
        return state_table(self.circuit.topology, self.states)

    def _in_parts(self, kept: CasesKept, rows: list[int], groups: Independence, base: BoolArray) -> list[int]:
        """Faults under which the groups are solved one by one, the others standing as in `base`; which are left over.

        Where the circuit is ill in `base` it is not known which part makes it so: then in another state that is not.
        """
        outside = np.array(groups.outside, dtype=np.int64)
        each = [np.where(outside == group, self._table, base) for group in range(max(groups.count, 1))]
        apart, place = np.unique(np.concatenate([base[None], *each]), axis=0, return_inverse=True)
        if len(apart) >= len(self._table):
            return rows
        place = place.reshape(-1)
        found = self._cases(rows, apart)
        ill = found.unsettled | found.collapsed
        sound = np.flatnonzero(~ill[:, place[0]])
        self._put_together(
            kept, np.array(rows)[sound], found.of(sound), groups, place[1:].reshape(-1, len(self._table))
        )
        bad = np.flatnonzero(ill[:, place[0]])
        left = [rows[k] for k in bad]
        if base.any() or not left:
            return left
        return self._in_parts(kept, left, groups, apart[int(ill[bad].sum(axis=0).argmin())])

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

    def _put_together(
        self, kept: CasesKept, rows: IntArray, found: CasesKept, groups: Independence, place: IntArray
    ) -> None:
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

    def _cases(self, rows: list[int], table: BoolArray) -> CasesKept:
        """Some faults in the states of a table, each solved by itself."""
        n_states = len(table)
        starts = self.starts
        cases = Cases(
            column=np.repeat(starts.column[rows], n_states),
            level=np.repeat(starts.level[rows], n_states),
            conductor_c=np.repeat(starts.conductor_c[rows], n_states),
            state=np.tile(np.arange(n_states), len(rows)),
            states=table,
            acts=np.repeat(self.acts[rows], n_states, axis=0),
            effects=self.effects,
            energised=np.repeat(starts.energised[rows], n_states, axis=0),
        )
        return collected(self.circuit, cases, (len(rows), n_states), self.watched)
