"""A circuit in one state as a SPICE deck, so that anyone can check the solver with another one.

The deck is of one working point: contacts are written as the resistors or the gaps that the solver settled
on, diodes, suppressors, current limits and constant loads as the same piecewise formulas in behavioural sources,
so that both sides solve one model. Run it with `ngspice -b deck.cir`; it prints every node voltage with 15 digits.

A plain Newton iteration can go in circles between the segments of such formulas. So the solver's node voltages may
be given as a start, from which a point that is no solution does not stand. Only a constant-power load has more than
one solution, and there the start decides which.

An island without a path to the reference is tied to it at one node, at the voltage the solver gave that node; the
tie carries nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, State, plain_cases
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.segments import V_RAMP_V
from riserkit.circuits.settle import RUNNING
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.topology import FEEDING, Branch
from riserkit.circuits.values import ALPHA_CU_PER_K, R_FLOOR_OHM

_PRINTED = re.compile(r"^v\((n\d+)\) = (\S+)\s*$", re.MULTILINE)

_BENT = FEEDING - {ElementKind.SOURCE}

_OPTIONS = ".options reltol=1e-8 abstol=1e-11 vntol=1e-9 gmin=1e-18 itl1=1000"
# Beyond its limit a source has no conductance: a node with nothing but limited sources and loads would be free for a step of
# the iteration and run off to 1e14 V, and its rounding spoil the others. The shunt holds it and carries nothing that counts.
_SHUNT = " rshunt=1e12"


@dataclass(frozen=True, slots=True)
class SpiceDeck:
    """A deck and its node names.

    Attributes:
        text: the deck, the same bytes for the same circuit.
        nodes: SPICE node by node name; the reference is `0`. Terminals with nothing on them are left out.
    """

    text: str
    nodes: Mapping[str, str]

    def voltages_v(self, output: str) -> dict[str, float]:
        """Node voltages by name from what ngspice printed; what it did not print is missing."""
        printed = {name: float(value) for name, value in _PRINTED.findall(output)}
        printed["0"] = 0.0
        return {name: printed[spice] for name, spice in self.nodes.items() if spice in printed}


def spice_deck(
    netlist: Netlist,
    state: State | None = None,
    level: SourceLevel = SourceLevel.NOMINAL,
    conductor_c: float = T_REFERENCE_C,
    title: str = "circuit",
    start: bool = True,
) -> SpiceDeck:
    """The deck of one netlist in one state and worst case.

    Args:
        netlist: the circuit.
        state: outside states that are on.
        level: which of the sources' voltages.
        conductor_c: conductor temperature in °C.
        title: first line of the deck.
        start: give the solver's voltages as a start where the circuit is not linear.

    Raises:
        CircuitError: the netlist is ill-posed or has no sound solution.
    """
    circuit = circuit_of(netlist)
    cases = plain_cases(circuit, (state or {},), level, conductor_c)
    return deck_of_case(circuit, cases, solve_cases(circuit, cases).demand_sound(), 0, (title, start))


def deck_of_case(
    circuit: Circuit, cases: Cases, solution: Solution, case: int, head: tuple[str, bool] = ("circuit", True)
) -> SpiceDeck:
    """The deck of one solved case, with its faults.

    Args:
        circuit: the circuits solved.
        cases: the cases solved.
        solution: their solution, which says how contacts stand.
        case: which of them.
        head: first line of the deck; whether the solver's voltages are given as a start.
    """
    return _Deck(circuit, cases, solution, case).deck(*head)


class _Deck:
    """Lines of one case."""

    def __init__(self, circuit: Circuit, cases: Cases, solution: Solution, case: int) -> None:
        self.topology = circuit.topology
        self.params = circuit.params[:, cases.column[case]]
        self.level = int(cases.level[case])
        self.conductor_c = float(cases.conductor_c[case])
        self.effects, self.acts = cases.effects, cases.acts[case]
        self.gate, self.load = solution.gate[:, case], solution.load[:, case]
        self.v, self.conducts = solution.v[:, case], solution.conducts[:, case]

    def deck(self, title: str, start: bool) -> SpiceDeck:
        used = sorted({n for b in self.topology.branches for n in (b.a, b.b)} - {self.topology.reference})
        names = {self.topology.nodes[k]: f"n{k}" for k in used}
        lines = [f"* {' '.join(title.split())}", f"* conductors at {self.conductor_c:g} degC, 0 = {self._reference}"]
        lines += [f"* {spice} = {name}" for name, spice in names.items()]
        for k, branch in enumerate(self.topology.elements):
            lines += self._element(k, branch)
        lines += self._conductors()
        lines += self._joins()
        for k in self._islands(used):
            lines += [f"Rtie{k} n{k} t{k} 1", f"Vtie{k} t{k} 0 {float(self.v[k])!r}"]
        if start and self._bent():
            lines += [f".nodeset v(n{k})={float(self.v[k])!r}" for k in used]
        lines += [_OPTIONS + _SHUNT * self._bent(), ".control", "set numdgt=15", "op"]
        lines += [f"print v({spice})" for spice in names.values()]
        lines += [".endc", ".end", ""]
        return SpiceDeck("\n".join(lines), {**names, self._reference: "0"})

    def _bent(self) -> bool:
        """Whether any element is more than a resistance and a voltage."""
        limits = [self.params[b.offset + 4] for b in self.topology.elements if b.kind is ElementKind.SOURCE]
        return bool(np.isfinite(limits).any()) or any(b.kind in _BENT for b in self.topology.elements)

    @property
    def _reference(self) -> str:
        return self.topology.nodes[self.topology.reference]

    def _ends(self, branch: Branch) -> tuple[str, str]:
        a, b = ("0" if n == self.topology.reference else f"n{n}" for n in (branch.a, branch.b))
        return a, b

    def _element(self, k: int, branch: Branch) -> Iterator[str]:
        if not self.gate[k] or branch.a == branch.b or branch.kind is None:
            yield f"* {branch.name}: open"
            return
        a, b = self._ends(branch)
        p = [float(value) for value in self.params[branch.offset : branch.offset + 5]]
        yield f"* {branch.name}"
        match branch.kind:
            case ElementKind.RESISTOR | ElementKind.COIL | ElementKind.CONTACT:
                yield f"R{k} {a} {b} {max(p[0], R_FLOOR_OHM)!r}"
            case ElementKind.SOURCE:
                yield from self._source(k, a, b, p)
            case ElementKind.CURRENT_LOAD:
                yield f"B{k} {a} {b} i = {p[0]!r}*min(1,max(0,(v({a})-v({b}))/{max(p[1], V_RAMP_V)!r}))"
            case ElementKind.POWER_LOAD:
                yield from self._power_load(k, branch, p[0])
            case ElementKind.DIODE:
                yield f"B{k} {a} {b} i = uramp(v({a})-v({b})-{p[0]!r})/{max(p[1], R_FLOOR_OHM)!r}"
            case ElementKind.SUPPRESSOR:
                above, below = f"uramp(v({a})-v({b})-{p[0]!r})", f"uramp(v({b})-v({a})-{p[0]!r})"
                yield f"B{k} {a} {b} i = ({above}-{below})/{p[1]!r}"

    def _source(self, k: int, a: str, b: str, p: list[float]) -> Iterator[str]:
        source_v, r_ohm = p[self.level], max(p[3], R_FLOOR_OHM)
        if np.isinf(p[4]):
            yield f"V{k} s{k} {b} {source_v!r}"
            yield f"R{k} {a} s{k} {r_ohm!r}"
        else:
            yield f"B{k} {a} {b} i = max((v({a})-v({b})-{source_v!r})/{r_ohm!r},{-p[4]!r})"

    def _power_load(self, k: int, branch: Branch, p_w: float) -> Iterator[str]:
        if self.load[self.topology.of_kind(ElementKind.POWER_LOAD).index(k)] != RUNNING:
            yield f"* {branch.name}: off"
            return
        a, b = self._ends(branch)
        yield f"B{k} {a} {b} i = {p_w!r}/(v({a})-v({b}))"

    def _conductors(self) -> Iterator[str]:
        off = set[int]()
        if self.effects is not None and self.acts.size:
            off = set(np.flatnonzero(self.effects.off[self.acts].any(axis=0)).tolist())
        warm = 1.0 + ALPHA_CU_PER_K * (self.conductor_c - T_REFERENCE_C)
        for k, branch in enumerate(self.topology.conductors):
            a, b = self._ends(branch)
            yield f"* conductor {branch.name}" + (": open" if len(self.topology.elements) + k in off else "")
            if len(self.topology.elements) + k not in off and a != b:
                yield f"Rw{k} {a} {b} {max(float(self.params[branch.offset]) * warm, R_FLOOR_OHM)!r}"

    def _joins(self) -> Iterator[str]:
        if self.effects is None:
            return
        for k, branch in enumerate(self.topology.joins):
            a, b = self._ends(branch)
            g = float(self.effects.join_g[self.acts, k].sum())
            current_a = float(self.effects.join_a[self.acts, k].sum())
            if a != b and (g or current_a):
                yield f"* join {branch.name}"
                yield f"Rj{k} {a} {b} {1.0 / g!r}"
                yield f"Ij{k} {a} {b} {current_a!r}"

    def _islands(self, used: list[int]) -> list[int]:
        """One node of each island without the reference: the one the solver takes as its 0 V."""
        root = {k: k for k in [*used, self.topology.reference]}

        def find(k: int) -> int:
            while root[k] != k:
                k = root[k]
            return k

        for branch, conducts in zip(self.topology.branches, self.conducts, strict=True):
            if conducts:
                root[find(branch.a)] = find(branch.b)
        turn = {node: place for place, node in enumerate(self.topology.plan.order)}
        last: dict[int, int] = {}
        for k in sorted(used, key=lambda n: turn.get(n, -1)):
            last[find(k)] = k
        return sorted(node for island, node in last.items() if island != find(self.topology.reference))
