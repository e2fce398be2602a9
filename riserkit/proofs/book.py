"""Proofs of a site's doors: each circuit is proven when first asked for, once for all doors that share it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.circuits.netlist import Component, Netlist
from riserkit.kept import NOTHING_KEPT, KeptWork
from riserkit.model.opening import Opening
from riserkit.model.parts import Lock
from riserkit.proofs.asked import asked_of
from riserkit.proofs.behaviour import ROOM_C, Extremes, single_circuit
from riserkit.proofs.prove import prove
from riserkit.proofs.record import proven
from riserkit.proofs.values import DoorProof, TopologyProof
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.arrangement import CircuitBuild, DoorCircuit
from riserkit.wiring.choose.judge import cable_key, lengths_m
from riserkit.wiring.roles import DeviceRole
from riserkit.wiring.values import DoorWiring


@dataclass(frozen=True, slots=True)
class Entry:
    """One opening as the book knows it."""

    opening: Opening
    lock: Lock | None
    wiring: DoorWiring


@dataclass(frozen=True, slots=True)
class Unproven:
    """Why nothing is proven of a door, in a phrase. `failed`: its circuit is there and could not be worked out."""

    mark: str
    why: str
    failed: bool = False


_Key = tuple[object, ...]
_NO_CIRCUIT: Final = "the door has no circuit"


class ProofBook:
    """The proofs of many doors.

    Doors whose circuits differ by lengths only are proven together: with the longest cables of any of them at the lowest
    source, and with the shortest at the highest.
    """

    def __init__(
        self, entries: Iterable[Entry], temperatures_c: tuple[float, float] = ROOM_C, edition: str = "",
        kept: KeptWork = NOTHING_KEPT,
    ) -> None:  # fmt: skip
        """Take the doors in; nothing is solved yet.

        Args:
            entries: the doors.
            temperatures_c: coldest and hottest of the conductors at the doors.
            edition: of the building code.
            kept: what an earlier build worked out, which need not be solved again.
        """
        self._kept = kept
        self._entries = {entry.opening.mark: entry for entry in entries}
        self._temperatures_c, self._edition = temperatures_c, edition
        self._proven: dict[_Key, TopologyProof | str] = {}
        self._by_mark: dict[str, DoorProof | Unproven] = {}
        self._unbuilt: dict[str, str] = {}

    def proof(self, mark: str) -> DoorProof | Unproven:
        """The proof of one door; KeyError when the book has no such door."""
        if mark not in self._entries:
            raise KeyError(mark)
        if mark not in self._by_mark:
            try:
                self._by_mark[mark] = self._work_out(mark)
            except FAILURES as error:
                self._by_mark[mark] = Unproven(mark, f"it cannot be worked out: {failure_words(error)}", failed=True)
        return self._by_mark[mark]

    def _work_out(self, mark: str) -> DoorProof | Unproven:
        entry = self._entries[mark]
        why, fail_safe = _fail_safe(entry)
        if why:
            return Unproven(mark, why)
        topology = self._topology_of.get(mark)
        if topology is None:
            return Unproven(mark, self._unbuilt.get(mark, _NO_CIRCUIT), mark in self._unbuilt)
        if topology not in self._proven:
            self._proven[topology] = self._prove(topology, fail_safe)
        proven = self._proven[topology]
        if isinstance(proven, str) and len(self._topologies[topology]) + len(self._topologies[topology][0]) > 2:
            # What fails for doors side by side may fail for one of them only.
            proven = self._prove_alone(entry, fail_safe)
        if isinstance(proven, str):
            return Unproven(mark, proven, failed=True)
        return DoorProof(mark, proven, asked_of(entry.opening, fail_safe, self._edition))

    @cached_property
    def _builds(self) -> dict[_Key, list[Entry]]:
        """Doors with a circuit by what their circuit is built from, lengths aside."""
        builds: dict[_Key, list[Entry]] = {}
        for entry in self._entries.values():
            try:
                if not _fail_safe(entry)[0]:
                    builds.setdefault(_key(entry), []).append(entry)
            except FAILURES as error:
                self._unbuilt[entry.opening.mark] = f"it cannot be worked out: {failure_words(error)}"
        return builds

    @cached_property
    def _topologies(self) -> dict[_Key, list[list[Entry]]]:
        """The same, those joined whose circuits come out alike."""
        topologies: dict[_Key, list[list[Entry]]] = {}
        for alike in self._builds.values():
            try:
                circuit = alike[0].wiring.circuit
                signature = _signature(alike[0], circuit) if circuit is not None else None
            except FAILURES as error:
                why = f"its circuit cannot be built: {failure_words(error)}"
                self._unbuilt |= dict.fromkeys((entry.opening.mark for entry in alike), why)
                continue
            if signature is not None:
                topologies.setdefault(signature, []).append(alike)
        return topologies

    @cached_property
    def _topology_of(self) -> dict[str, _Key]:
        return {
            entry.opening.mark: signature
            for signature, groups in self._topologies.items()
            for alike in groups
            for entry in alike
        }

    def _prove(self, topology: _Key, fail_safe: bool) -> TopologyProof | str:
        groups = self._topologies[topology]
        circuit = groups[0][0].wiring.circuit
        if circuit is None:
            return _NO_CIRCUIT
        try:
            proof = self._proven_once(extremes_of(circuit, groups), fail_safe)
            return replace(proof, doors=sum(map(len, groups)))
        except FAILURES as error:
            return f"its circuit cannot be solved: {failure_words(error)}"

    def _prove_alone(self, entry: Entry, fail_safe: bool) -> TopologyProof | str:
        try:
            circuit = entry.wiring.circuit
            return self._proven_once(single_circuit(circuit), fail_safe) if circuit is not None else _NO_CIRCUIT
        except FAILURES as error:
            return f"its circuit cannot be solved: {failure_words(error)}"

    def _proven_once(self, extremes: Extremes, fail_safe: bool) -> TopologyProof:
        at_c = self._temperatures_c
        return proven(self._kept, extremes, fail_safe, at_c, lambda: prove(extremes, fail_safe, at_c))


def _fail_safe(entry: Entry) -> tuple[str, bool]:
    """(why nothing can be proven, whether the lock is released without power)."""
    wiring, lock = entry.wiring, entry.lock
    if why := _unproven(wiring, lock):
        return why, False
    mode = (lock.action if lock else "") or entry.opening.fail_mode or ""
    if not mode:
        return "what the lock does without power is not stated", False
    if entry.opening.fail_mode and mode != entry.opening.fail_mode:
        return f"the lock is {mode}, {entry.opening.fail_mode} is wanted", False
    return "", mode == "fail-safe"


def _unproven(wiring: DoorWiring, lock: Lock | None) -> str:
    """Why there is no circuit to prove anything of; empty when there is one."""
    if wiring.missing:
        return f"data missing: {', '.join(wiring.missing)}"
    if wiring.failure:
        return f"the door cannot be worked out: {wiring.failure}"
    if wiring.build is None:
        return _NO_CIRCUIT
    return wiring.not_computed or _pull_in_unknown(lock)


def _pull_in_unknown(lock: Lock | None) -> str:
    if lock is None or lock.v_pull_in_v is not None or lock.tolerance_low is not None:
        return ""
    return f"{lock.id} states neither v_pull_in_v nor tolerance_low, so its pull-in voltage is unknown"


def _key(entry: Entry) -> _Key:
    """Equal for doors whose circuits differ by lengths only, and that pass or fail the same tests of their wiring."""
    build = entry.wiring.build
    if not isinstance(build, CircuitBuild):
        return (entry.opening.mark,)
    return *build.key, _failed(entry), _fail_safe(entry)


def _failed(entry: Entry) -> tuple[str, ...]:
    drawn = entry.wiring.drawn
    return tuple(sorted({reason.name for reason in drawn.failed})) if drawn else ()


def _signature(entry: Entry, circuit: DoorCircuit) -> _Key:
    """All of a circuit that a proof of it reads, lengths aside. The port in the closet has a name of its own at each door."""
    netlist = circuit.netlist
    components = tuple(
        (c.ref, c.role, c.states, c.exposed, _place(c), tuple(t.name for t in c.terminals), _elements(c))
        for c in netlist.components
    )
    conductors = tuple((c.ref, c.a, c.b, c.colour, c.cable, "" if c.cable else c.r20_ohm) for c in netlist.conductors)
    cables = tuple((c.ref, c.role, c.gauge, c.stranding, c.exposed) for c in netlist.cables)
    states = tuple(sorted(circuit.powered.items())), tuple(sorted(circuit.commanded.items()))
    # A circuit as it was built has resistances of its own, which no length gives.
    own = "" if isinstance(entry.wiring.build, CircuitBuild) else entry.opening.mark
    return components, conductors, cables, circuit.locks, states, _fail_safe(entry)[1], _failed(entry), own


def _place(component: Component) -> str:
    return "" if component.role == DeviceRole.NETWORK_PORT else component.place


def _elements(component: Component) -> tuple[object, ...]:
    return tuple(
        (e.name, e.kind, e.a, e.b, tuple(sorted(e.values.items())), e.control, e.normally_closed, e.role)
        for e in component.elements
    )


def extremes_of(circuit: DoorCircuit, groups: Sequence[Sequence[Entry]]) -> Extremes:
    """The circuit with the shortest and the longest of each cable at any of the doors."""
    netlist = circuit.netlist
    lengths: dict[str, list[float]] = {c.ref: [] for c in netlist.cables}
    for alike in groups:
        builds = [e.wiring.build for e in alike if isinstance(e.wiring.build, CircuitBuild)]
        if not builds:
            return single_circuit(circuit)
        needs, choices = [b.need for b in builds], [b.choice for b in builds]
        for cable in netlist.cables:
            lengths[cable.ref] += lengths_m(needs, choices, cable_key(netlist, cable)).tolist()
    return Extremes(
        circuit,
        _with_lengths(netlist, {ref: min(of) for ref, of in lengths.items()}),
        _with_lengths(netlist, {ref: max(of) for ref, of in lengths.items()}),
    )


def _with_lengths(netlist: Netlist, lengths: dict[str, float]) -> Netlist:
    per_m = {c.ref: resistance_per_m_20c_ohm(c.gauge, c.stranding) for c in netlist.cables}
    conductors = tuple(
        replace(c, r20_ohm=per_m[c.cable] * lengths[c.cable]) if c.cable else c for c in netlist.conductors
    )
    return replace(netlist, conductors=conductors)
