"""A door's circuit under power: every fault in every combination of its switches, the controller deciding as it does.

A controller that has power releases when its reader has taken a card or its input asks to exit, else it locks; one without power
commands nothing, and nothing comes from its inputs. A card is taken where a reader has its supply and its data.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np

from riserkit.bench.faults import BenchFault
from riserkit.bench.switches import Combination
from riserkit.circuits.cases import T_REFERENCE_C, Cases, State, state_table
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.netlist import Component, ElementKind, Netlist
from riserkit.circuits.overlay import overlaid
from riserkit.circuits.settle import OSCILLATES
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.troubleshooting.changes import Without
from riserkit.troubleshooting.controller import INPUTS, asks_to_exit, cut_off, offline
from riserkit.troubleshooting.metered import Patterns
from riserkit.troubleshooting.netlists import FaultNetlists, batches
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.over_limit import over_limit
from riserkit.wiring.readings.meter import VOLTS, Measurement, set_up
from riserkit.wiring.readings.shown import CLOSED_SHARE
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

STEADY, CHATTERS, UNSETTLED = 0, 1, 2
PULLED_IN, DROPPED_OUT, STAYS, NOT_STATED = 1, 0, 2, 3
OFF, LOCKS, CARD, REQUEST, NOT_TAKEN = 0, 1, 2, 3, 4
"""What the controller does: without power; locks; releases for a card; releases for a request; locks, the card not taken."""

_LEAST_SUPPLY_V: Final = 6.0
_NO_VOLTAGE_V: Final = 0.05
_Parts = tuple[Component, ...]


@dataclass(frozen=True, slots=True)
class LiveCases:
    """Every fault, in every combination of switches, without and with the credential: shape (faults, combinations, 2) each.

    Attributes:
        terminals, wires: names of the last axis of `v` and `a`.
        v: volts at each terminal; not a number where there is no steady state.
        a: amperes in each conductor from its `a` to its `b`, links that a fault adds left out.
        lock_v: volts across each lock's coil.
        energised: what that does: `PULLED_IN`, `DROPPED_OUT`, `STAYS` where it is too little for the one and too much for the
            other, `NOT_STATED` where the part does not say.
        relays: relays that are pulled in, in the order of `relay_names`.
        relay_names: `component.element` of all that moves contacts.
        closed: whether the door input and the request input read closed.
        reader_on: whether each reader has its supply and its data.
        decides: what the controller does.
        online: whether data reaches it.
        trouble: `STEADY`, `CHATTERS` or `UNSETTLED`.
        over: place among `sources` of one at its limit; -1 for none.
        sources: `component.element` of the sources.
        pattern, drift: places among `patterns.found` and `patterns.drifts`.
        patterns: how far a meter's own resistance counts.
    """

    terminals: tuple[str, ...]
    wires: tuple[str, ...]
    relay_names: tuple[str, ...]
    sources: tuple[str, ...]
    v: FloatArray
    a: FloatArray
    lock_v: FloatArray
    energised: IntArray
    relays: BoolArray
    closed: BoolArray
    reader_on: BoolArray
    decides: IntArray
    online: BoolArray
    trouble: IntArray
    over: IntArray
    pattern: IntArray
    drift: IntArray
    patterns: Patterns


def solve_live(netlists: FaultNetlists, faults: Sequence[BenchFault], combinations: Sequence[Combination]) -> LiveCases:
    """Solve a door.

    Args:
        netlists: of the door.
        faults: what may be at fault.
        combinations: of switches, the credential left out.

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    return _Bench(netlists, tuple(faults), tuple(combinations)).solved()


@dataclass(frozen=True)
class _Bench:
    netlists: FaultNetlists
    faults: tuple[BenchFault, ...]
    combinations: tuple[Combination, ...]

    @property
    def circuit(self) -> DoorCircuit:
        """The door as designed."""
        return self.netlists.circuit

    def solved(self) -> LiveCases:
        place = {fault.way: n for n, fault in reversed(list(enumerate(self.faults)))}
        wired = {f.way: made for f in self.faults if (made := self.netlists(f.way)) is not None}
        live = self._empty()
        for batch in batches(wired, self.netlists.once):
            rows = np.array([place[way] for way in batch])
            lost = [frozenset(self.netlists.lost(way)) for way in batch]
            _Batch(self, live, rows, list(batch.values()), lost).solve()
        # faults of different words that make one netlist, such as a short and a contact that sticks
        first = np.array([place[fault.way] for fault in self.faults])
        cases = {f.name: getattr(live, f.name) for f in fields(live)}
        return replace(live, **{name: a[first] for name, a in cases.items() if isinstance(a, np.ndarray)})

    def _empty(self) -> LiveCases:
        netlist = self.circuit.netlist
        terminals = tuple(f"{c.ref}.{t.name}" for c in netlist.components for t in c.terminals)
        wires = tuple(c.ref for c in netlist.conductors)
        relays = tuple(
            dict.fromkeys(e.control for c in netlist.components for e in c.elements if self._is_mover(e.control))
        )
        sources = tuple(
            f"{c.ref}.{e.name}" for c in netlist.components for e in c.elements if e.kind is ElementKind.SOURCE
        )
        shape = len(self.faults), len(self.combinations), 2
        readers = netlist.devices(DeviceRole.READER)
        return LiveCases(
            terminals, wires, relays, sources,
            v=np.full((*shape, len(terminals)), np.nan), a=np.full((*shape, len(wires)), np.nan),
            lock_v=np.full((*shape, len(self.circuit.locks)), np.nan),
            energised=np.full((*shape, len(self.circuit.locks)), NOT_STATED),
            relays=np.zeros((*shape, len(relays)), dtype=np.bool_), closed=np.zeros((*shape, 2), dtype=np.bool_),
            reader_on=np.zeros((*shape, len(readers)), dtype=np.bool_), decides=np.full(shape, LOCKS),
            online=np.ones(shape, dtype=np.bool_), trouble=np.full(shape, UNSETTLED), over=np.full(shape, -1),
            pattern=np.zeros(shape, dtype=np.int64), drift=np.zeros(shape, dtype=np.int64), patterns=Patterns(terminals),
        )  # fmt: skip

    def _is_mover(self, control: str) -> bool:
        netlist = self.circuit.netlist
        return bool(control) and control not in netlist.states()


class _Batch:
    """Faults whose netlists are solved together."""

    def __init__(
        self,
        bench: _Bench,
        live: LiveCases,
        rows: IntArray,
        netlists: Sequence[Netlist],
        lost: Sequence[frozenset[str]],
    ) -> None:
        self.bench, self.live, self.rows, self.lost = bench, live, rows, lost
        self.door = bench.circuit
        self.command = self.door.command
        self.locks_when = self.door.locked_state.get(self.command, False)
        self.n = len(netlists)
        self.circuit = self._circuit(netlists)
        # netlists whose PoE cable does not reach what it feeds: no data, and no power either
        controllers = {c.ref for c in self.door.netlist.devices(DeviceRole.CONTROLLER)}
        self.dead = np.array([bool(controllers & bench.faults[row].dead) for row in rows], dtype=np.bool_)
        designed = self.door.netlist
        by_lost = {one: (cut_off(designed, one), not offline(designed, one)) for one in set(lost)}
        self.cut, reached = np.array([by_lost[one] for one in lost], dtype=np.bool_).reshape(self.n, 2).T.copy()
        self.online = ~self.dead & reached
        if not self._own_load():  # one that its cable feeds does as without it
            self.cut |= self.dead

    def _circuit(self, netlists: Sequence[Netlist]) -> Circuit:
        """Four columns a netlist: floating and on battery, the controller with power and without."""
        silent = Without(frozenset(self.door.netlist.elements(*INPUTS)))
        kept: dict[tuple[int, bool, bool], _Parts] = {}

        def parts(netlist: Netlist, on_battery: bool, dead: bool) -> _Parts:
            key = (id(netlist.components), on_battery, dead)
            if key not in kept:
                asked = Measurement(VOLTS, "", "", on_battery=on_battery)
                held = set_up(replace(netlist, conductors=()), asked)
                kept[key] = (silent(held) if dead else held).components
            return kept[key]

        made = [parts(one, battery, dead) for battery in (False, True) for dead in (False, True) for one in netlists]
        wirings = [one.conductors for _ in range(4) for one in netlists]
        base = replace(netlists[0], components=made[0], conductors=())
        return overlaid(base, wirings, made)

    def solve(self) -> None:
        """The controller locks, then releases where it wants to, then does nothing where it has no power."""
        n, m = self.n, len(self.bench.combinations)
        which, of = (x.ravel() for x in np.meshgrid(np.arange(n), np.arange(m), indexing="ij"))
        locked = self._cases(which, of, self.locks_when, dead=False)
        # a door that chatters asks for nothing: there is no steady voltage at its input
        alive, request = self._alive(locked, which, of), self._closed(locked)[1] & locked.solution.sound
        readers = self._readers(locked, which)
        taken = readers.any(axis=0) if len(readers) else np.ones(which.shape, dtype=np.bool_)
        commanded = bool(self.command)
        wants = alive & (request & asks_to_exit(self.door.netlist) | taken) & commanded
        asks = alive & request & asks_to_exit(self.door.netlist) & commanded
        self._keep(locked, which, of, (0, 1), np.where(alive, LOCKS, OFF))
        self.live.decides[self.rows[which], of, 1] = np.where(taken | (not commanded), LOCKS, NOT_TAKEN)
        if wants.any():
            released = self._cases(which[wants], of[wants], not self.locks_when, dead=False)
            both = asks[wants]
            why = np.where(both, REQUEST, CARD)
            self._keep(released, which[wants], of[wants], (1,), why, also=both)
        if not alive.all():
            off = ~alive
            dead = self._cases(which[off], of[off], False, dead=True)
            self._keep(dead, which[off], of[off], (0, 1), np.full(int(off.sum()), OFF))

    def _cases(self, which: IntArray, of: IntArray, command: bool, *, dead: bool) -> _Solved:
        known = set(self.circuit.topology.outside)
        states: list[State] = []
        place = np.zeros((len(self.bench.combinations), 2), dtype=np.int64)
        for n, combination in enumerate(self.bench.combinations):
            for off in (False, True):
                state = {**combination.outside, **({self.command: command} if self.command else {})}
                if off:
                    state |= dict.fromkeys(self.door.netlist.states(StateRole.NETWORK_POWER_LOST), True)
                place[n, int(off)] = len(states)
                states.append({name: on for name, on in state.items() if name in known})
        battery = np.array([c.on_battery for c in self.bench.combinations], dtype=np.bool_)
        column = which + self.n * (2 * battery[of] + int(dead))
        cases = Cases(
            column=column, level=np.zeros(which.shape, dtype=np.int8),
            conductor_c=np.full(which.shape, T_REFERENCE_C), state=place[of, self.cut[which].astype(np.int64)],
            states=state_table(self.circuit.topology, states), acts=np.zeros((which.size, 0), dtype=np.int64),
        )  # fmt: skip
        return _Solved(self.circuit, cases, solve_cases(self.circuit, cases))

    def _own_load(self) -> bool:
        """Whether the controller draws from the door's circuit, not from its PoE cable."""
        netlist = self.door.netlist
        return any(netlist.element(name).values["p_w"] for name in netlist.elements(ElementRole.CONTROLLER_LOAD))

    def _alive(self, solved: _Solved, which: IntArray, of: IntArray) -> BoolArray:
        for name in self.door.netlist.elements(ElementRole.CONTROLLER_LOAD):
            if self.door.netlist.element(name).values["p_w"]:
                drawn: BoolArray = solved.solution.element_a(name) > 0.0
                return drawn & solved.solution.sound
        lost = set(self.door.netlist.states(StateRole.NETWORK_POWER_LOST))
        off = np.array([any(c.outside.get(name) for name in lost) for c in self.bench.combinations], dtype=np.bool_)
        alive: BoolArray = ~(off[of] | self.cut[which])
        return alive

    def _closed(self, solved: _Solved) -> BoolArray:
        """Whether the door input and the request input read closed, shape (2, cases)."""
        found = np.zeros((2, solved.cases.count), dtype=np.bool_)
        for row, role in enumerate(INPUTS):
            for name in self.door.netlist.elements(role):
                values = self.door.netlist.element(name).values
                least_a = CLOSED_SHARE * values["v_nominal_v"] / values["r_ohm"]
                found[row] |= -solved.solution.element_a(name) >= least_a
        return found

    def _readers(self, solved: _Solved, which: IntArray) -> BoolArray:
        """Whether each reader has its supply and its data, shape (readers, cases)."""
        found = []
        for reader in self.door.netlist.devices(DeviceRole.READER):
            hears = np.array([not any(t.startswith(f"{reader.ref}.") for t in lost) for lost in self.lost])
            dead = np.array([reader.ref in self.bench.faults[row].dead for row in self.rows])
            on = (hears & ~dead)[which]
            for e in reader.elements:
                if e.role == ElementRole.READER_LOAD:
                    on = on & (solved.solution.element_v(f"{reader.ref}.{e.name}") >= _LEAST_SUPPLY_V)
            found.append(on)
        return np.array(found, dtype=np.bool_).reshape(len(found), which.size)

    def _keep(
        self,
        solved: _Solved,
        which: IntArray,
        of: IntArray,
        credential: Sequence[int],
        decides: IntArray,
        also: BoolArray | None = None,
    ) -> None:
        """Put cases in place, with or without the credential; `also` are those that are the same without it."""
        solution, live = solved.solution, self.live
        sound = solution.sound
        nodes = [solution.topology.node(name) for name in live.terminals]
        pattern, drift = live.patterns.rows(solved.circuit, solved.cases, solution)
        lock_v = [solution.element_v(self.door.coil(ref)) for ref in self.door.locks]
        relays = [solution.powered(name) for name in live.relay_names]
        values = {
            "v": np.where(sound, solution.v[nodes], np.nan).T,
            "a": np.where(sound, self._wire_a(solution), np.nan).T,
            "lock_v": np.where(sound, np.array(lock_v), np.nan).T,
            "energised": np.array([self._energised(solved, ref) for ref in self.door.locks]).T,
            "relays": np.array(relays, dtype=np.bool_).reshape(len(relays), solution.count).T,
            "closed": self._closed(solved).T,
            "reader_on": self._readers(solved, which).T,
            "decides": decides,
            "online": self.online[which],
            "trouble": np.where(sound, STEADY, np.where(solution.trouble == OSCILLATES, CHATTERS, UNSETTLED)),
            "over": np.where(sound, self._over(solved), -1),
            "pattern": pattern,
            "drift": drift,
        }  # fmt: skip
        rows = self.rows[which]
        for name, value in values.items():
            cases = getattr(live, name)
            for bit in credential:
                cases[rows, of, bit] = value
            if also is not None:
                cases[rows[also], of[also], 0] = value[also]

    def _energised(self, solved: _Solved, lock: str) -> IntArray:
        """What the voltage across a lock's coil does; a coil that is open moves nothing."""
        topology, volts = solved.circuit.topology, np.abs(solved.solution.element_v(self.door.coil(lock)))
        rows = topology.mover_rows(topology.element(self.door.coil(lock)))
        pull_in_v, drop_out_v = (solved.circuit.params[row, solved.cases.column] for row in rows)
        between = np.where(np.isnan(pull_in_v) | np.isnan(drop_out_v), NOT_STATED, STAYS)
        out = (volts < drop_out_v) | (volts < _NO_VOLTAGE_V)
        found: IntArray = np.where(volts >= pull_in_v, PULLED_IN, np.where(out, DROPPED_OUT, between))
        return found

    def _wire_a(self, solution: Solution) -> FloatArray:
        """Of each conductor the current of whichever of its landings this wiring has."""
        topology = solution.topology
        first = len(topology.elements)
        found = np.zeros((len(self.live.wires), solution.count))
        for k, branch in enumerate(topology.conductors):
            ref = branch.name.partition("~")[0]
            if ref in self.live.wires:
                found[self.live.wires.index(ref)] += solution.a[first + k]
        return found

    def _over(self, solved: _Solved) -> IntArray:
        """A source that is at its limit, or -1."""
        found = np.full(solved.cases.count, -1)
        if not over_limit(solved.circuit, solved.cases.column, solved.solution).any():
            return found
        for place, name in enumerate(self.live.sources):
            element = solved.circuit.topology.element(name)
            limit_a = solved.circuit.params[solved.circuit.topology.elements[element].offset + 4, solved.cases.column]
            at_limit = np.isfinite(limit_a) & (-solved.solution.a[element] >= limit_a * (1.0 - 1e-6))
            found = np.where(at_limit & (found < 0), place, found)
        return found


@dataclass(frozen=True, slots=True)
class _Solved:
    circuit: Circuit
    cases: Cases
    solution: Solution
