"""The structure of a circuit without its values: nodes, branches, and what moves which contact."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from operator import attrgetter

import numpy as np

from riserkit.circuits.elimination import (
    Additions,
    BoolArray,
    EliminationPlan,
    FloatArray,
    IntArray,
    additions,
    plan_of,
)
from riserkit.circuits.errors import CircuitValueError, UnknownControlError, UnknownNodeError
from riserkit.circuits.netlist import Component, ElementKind, Landing, Netlist
from riserkit.circuits.values import MOVER_KINDS, READERS, VALUES, Reader, Value

FEEDING = frozenset(
    {
        ElementKind.SOURCE,
        ElementKind.CURRENT_LOAD,
        ElementKind.POWER_LOAD,
        ElementKind.DIODE,
        ElementKind.SUPPRESSOR,
    }
)
"""Kinds whose current is not simply conductance times voltage."""

_NAMED_LIKE_STATES = frozenset({ElementKind.CONTACT, ElementKind.SOURCE})
"""Kinds that may bear the name of the outside state that moves them, such as a contact `K1.output`."""

_ELEMENT_KEY = attrgetter("name", "kind._value_", "a", "b", "control", "normally_closed")
_CONDUCTOR_KEY = attrgetter("ref", "a.component", "a.terminal", "b.component", "b.terminal", "cable")
_NAME = attrgetter("name")

Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Branch:
    """An element, a conductor or a join between two nodes.

    Args:
        name: `component.element`, the conductor's designation, or the two nodes of a join.
        kind: None for a conductor or a join.
        a: node at which current enters.
        b: node at which it leaves.
        offset: first of its parameters in the parameter array.
        mover: index in `Topology.movers` of what controls it, or -1.
        outside: index in `Topology.outside` of what controls it, or -1.
        normally_closed: in the circuit while its control is at rest.
        cable: a conductor's cable.
    """

    name: str
    kind: ElementKind | None
    a: int
    b: int
    offset: int
    mover: int = -1
    outside: int = -1
    normally_closed: bool = False
    cable: str = ""


@dataclass(frozen=True)
class Topology:
    """What all circuits of one structure share.

    Attributes:
        nodes: names, `component.terminal`; inner nodes as `component._name`.
        reference: index of the node at 0 V.
        elements: branches of components, in the netlist's order.
        conductors: branches of conductors.
        joins: node pairs that faults or tamper acts may connect; empty in a sound circuit.
        outside: names of the states set from outside, sorted.
        movers: indices of the elements that move contacts, and of all coils.
        places: component and element index of each element, to read its values from a netlist.
        fed: nodes into which a foreign source may drive a current.
    """

    nodes: tuple[str, ...]
    reference: int
    elements: tuple[Branch, ...]
    conductors: tuple[Branch, ...]
    joins: tuple[Branch, ...]
    outside: tuple[str, ...]
    movers: tuple[int, ...]
    places: tuple[tuple[int, int, Reader], ...]
    fed: frozenset[int] = frozenset()

    @cached_property
    def branches(self) -> tuple[Branch, ...]:
        """Elements, then conductors, then joins."""
        return self.elements + self.conductors + self.joins

    @cached_property
    def node_index(self) -> dict[str, int]:
        """Index by node name."""
        return {name: k for k, name in enumerate(self.nodes)}

    @cached_property
    def element_index(self) -> dict[str, int]:
        """Index into `elements` by `component.element`."""
        return {branch.name: k for k, branch in enumerate(self.elements)}

    @cached_property
    def conductor_index(self) -> dict[str, int]:
        """Index into `conductors` by designation."""
        return {branch.name: k for k, branch in enumerate(self.conductors)}

    def of_kind(self, kind: ElementKind) -> tuple[int, ...]:
        """Indices of the elements of one kind."""
        return tuple(k for k, branch in enumerate(self.elements) if branch.kind is kind)

    @cached_property
    def n_params(self) -> int:
        """Parameters of one circuit: the elements' values, then one resistance a conductor."""
        return len(self.conductors) + sum(len(VALUES[b.kind]) for b in self.elements if b.kind is not None)

    @cached_property
    def params(self) -> tuple[tuple[Branch, Value], ...]:
        """Branch and value behind each row of the parameter array."""
        rows = [(b, value) for b in self.elements if b.kind is not None for value in VALUES[b.kind]]
        return tuple(rows + [(b, Value("r20_ohm")) for b in self.conductors])

    def mover_rows(self, element: int) -> tuple[int, int]:
        """Rows of the parameter array that hold an element's pull-in and drop-out voltage: its last two."""
        branch = self.elements[element]
        end = branch.offset + (len(VALUES[branch.kind]) if branch.kind is not None else 1)
        return end - 2, end - 1

    @cached_property
    def mover_params(self) -> tuple[IntArray, IntArray]:
        """Rows of all movers' pull-in and drop-out voltages, each of shape (movers,)."""
        rows = np.array([self.mover_rows(k) for k in self.movers], dtype=np.int64).reshape(-1, 2)
        return rows[:, 0], rows[:, 1]

    @cached_property
    def bounds(self) -> tuple[FloatArray, BoolArray, BoolArray, BoolArray]:
        """Lower bound, strict, may be infinite, may be unknown; each of shape (n_params,)."""
        values = [value for _, value in self.params]
        return (
            np.array([v.least for v in values]),
            np.array([v.strict for v in values], dtype=np.bool_),
            np.array([v.may_be_infinite for v in values], dtype=np.bool_),
            np.array([v.may_be_unknown for v in values], dtype=np.bool_),
        )

    @cached_property
    def plan(self) -> EliminationPlan:
        """The order of elimination; minus terminals of sources last, to be the 0 V of an island of their own."""
        fed = {n for b in self.elements if b.kind in FEEDING for n in (b.a, b.b)}
        moving = {self.elements[k] for k in (*self.shifting, *self.movers)}
        minus = {self.elements[k].b for k in self.of_kind(ElementKind.SOURCE)}
        pairs = [(b.a, b.b) for b in self.branches]
        ends = {n for b in moving for n in (b.a, b.b)}
        return plan_of(len(self.nodes), pairs, self.reference, fed | self.fed, ends, minus)

    @cached_property
    def shifting(self) -> tuple[int, ...]:
        """Indices of the elements that may change while a circuit settles: what coils move, then what feeds."""
        moved = [k for k, b in enumerate(self.elements) if b.mover >= 0 and b.kind not in FEEDING]
        piecewise = [k for k, b in enumerate(self.elements) if b.kind in FEEDING - {ElementKind.POWER_LOAD}]
        return (*moved, *piecewise, *self.of_kind(ElementKind.POWER_LOAD))

    @cached_property
    def edge_rows(self) -> tuple[int, ...]:
        """The row of the plan's system on which each branch lies; -1 for a branch with both ends on one node."""
        edge_of = self.plan.edge_of
        return tuple(-1 if b.a == b.b else edge_of[min(b.a, b.b), max(b.a, b.b)] for b in self.branches)

    @cached_property
    def still_stamps(self) -> tuple[Additions, IntArray]:
        """To which rows of the system the conductances of branches are added that do not change while a circuit settles.

        The additions, and the branches in their order.
        """
        changing = {*self.shifting}
        kept = [k for k, row in enumerate(self.edge_rows) if row >= 0 and k not in changing]
        found = additions([self.edge_rows[k] for k in kept])
        return found, np.array(kept, dtype=np.int64)[found.places]

    @cached_property
    def shifting_stamps(self) -> tuple[Additions, IntArray]:
        """To which of the moving rows that of `shifting` is added: conductances, then currents out of and into their ends.

        The additions, and the places of these in their order.
        """
        base = self.plan.n_still
        feeding = sum(self.elements[k].kind in FEEDING for k in self.shifting)
        into: list[int] = []
        of: list[int] = []
        for place, k in enumerate(self.shifting):
            branch = self.elements[k]
            if self.edge_rows[k] < 0:
                continue
            into.append(self.edge_rows[k] - base)
            of.append(place)
            if branch.kind in FEEDING:
                for end, at in ((branch.a, feeding), (branch.b, 2 * feeding)):
                    if end != self.reference:
                        into.append(self.plan.inject_of[end] - base)
                        of.append(at + place)
        found = additions(into)
        return found, np.array(of, dtype=np.int64)[found.places]

    def with_joins(self, pairs: Iterable[tuple[int, int]], fed: Iterable[int] = ()) -> Topology:
        """The same structure with places at which two nodes may be connected, and nodes that may be fed there."""
        joins = tuple(Branch(f"{self.nodes[a]}~{self.nodes[b]}", None, a, b, -1) for a, b in pairs)
        return replace(self, joins=joins, fed=frozenset(fed))

    def node(self, name: str) -> int:
        """Index of a node; UnknownNodeError when there is none of that name."""
        if name not in self.node_index:
            raise UnknownNodeError(name, f"no such node; there are {', '.join(self.nodes)}")
        return self.node_index[name]

    def element(self, name: str) -> int:
        """Index of an element `component.element`; UnknownControlError when there is none."""
        if name not in self.element_index:
            raise UnknownControlError(name, f"no such element; there are {', '.join(self.element_index)}")
        return self.element_index[name]

    def conductor(self, ref: str) -> int:
        """Index of a conductor by designation; UnknownControlError when there is none."""
        if ref not in self.conductor_index:
            raise UnknownControlError(ref, f"no such conductor; there are {', '.join(self.conductor_index)}")
        return self.conductor_index[ref]


def key_of(netlist: Netlist) -> Key:
    """What makes two netlists one structure: names, terminals, kinds and connections, no value."""
    return (
        netlist.reference_node,
        tuple(
            [(c.ref, tuple(map(_NAME, c.terminals)), tuple(map(_ELEMENT_KEY, c.elements))) for c in netlist.components]
        ),
        tuple(map(_CONDUCTOR_KEY, netlist.conductors)),
    )


def topology_of(netlist: Netlist) -> Topology:
    """Read the structure off a netlist.

    Raises:
        UnknownNodeError: a landing, an element or the reference names a terminal that is not there.
        UnknownControlError: a contact names a coil that is not there or that states no pull-in.
        CircuitValueError: two components, elements or conductors have one name.
    """
    nodes = _nodes(netlist)
    index = {name: k for k, name in enumerate(nodes)}
    if netlist.reference_node not in index:
        raise UnknownNodeError(
            netlist.reference_node or "(empty)", "the reference node is no terminal of any component"
        )
    elements, places = _elements(netlist, index)
    outside, movers = _controls(elements)
    return Topology(
        nodes=nodes,
        reference=index[netlist.reference_node],
        elements=tuple(_controlled(b, control, outside, movers, elements) for b, control in elements),
        conductors=tuple(_conductors(netlist, index, places)),
        joins=(),
        outside=outside,
        movers=movers,
        places=places,
    )


def _nodes(netlist: Netlist) -> tuple[str, ...]:
    names: dict[str, None] = {}
    for component in netlist.components:
        for name in _own_nodes(component):
            if name in names:
                raise CircuitValueError(name, "two terminals have this name")
            names[name] = None
    return tuple(names)


def _own_nodes(component: Component) -> Iterator[str]:
    yield from (f"{component.ref}.{t.name}" for t in component.terminals)
    terminals = {t.name for t in component.terminals}
    ends = (end for element in component.elements for end in (element.a, element.b))
    yield from (f"{component.ref}.{end}" for end in dict.fromkeys(ends) if end.startswith("_") and end not in terminals)


_Elements = list[tuple[Branch, str]]


def _elements(netlist: Netlist, index: dict[str, int]) -> tuple[_Elements, tuple[tuple[int, int, Reader], ...]]:
    elements: _Elements = []
    places = []
    names: set[str] = set()
    offset = 0
    for i, component in enumerate(netlist.components):
        for j, element in enumerate(component.elements):
            name = f"{component.ref}.{element.name}"
            if name in names:
                raise CircuitValueError(name, "two elements have this name")
            names.add(name)
            a, b = (_end(index, component.ref, end, f"element {name}") for end in (element.a, element.b))
            branch = Branch(name, element.kind, a, b, offset, normally_closed=element.normally_closed)
            elements.append((branch, element.control))
            places.append((i, j, READERS[element.kind]))
            offset += len(VALUES[element.kind])
    return elements, tuple(places)


def _end(index: dict[str, int], component: str, terminal: str, what: str) -> int:
    name = f"{component}.{terminal}"
    if name not in index:
        raise UnknownNodeError(name, f"{what} ends here, but there is no such terminal")
    return index[name]


def _conductors(
    netlist: Netlist, index: dict[str, int], places: tuple[tuple[int, int, Reader], ...]
) -> Iterator[Branch]:
    offset = sum(len(VALUES[netlist.components[i].elements[j].kind]) for i, j, _ in places)
    refs: set[str] = set()
    for k, conductor in enumerate(netlist.conductors):
        if conductor.ref in refs:
            raise CircuitValueError(conductor.ref, "two conductors have this designation")
        refs.add(conductor.ref)
        ends: tuple[Landing, Landing] = (conductor.a, conductor.b)
        a, b = (_end(index, end.component, end.terminal, f"conductor {conductor.ref}") for end in ends)
        yield Branch(conductor.ref, None, a, b, offset + k, cable=conductor.cable)


def _controls(elements: _Elements) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Outside states by name, and indices of the elements that move contacts (all coils among them)."""
    index = {branch.name: k for k, (branch, _) in enumerate(elements)}
    used = {control for _, control in elements if control}
    movers = {k for k, (branch, _) in enumerate(elements) if branch.kind is ElementKind.COIL}
    outside = set(used)
    for control in sorted(used & index.keys()):
        kind = elements[index[control]][0].kind
        if kind in MOVER_KINDS:
            movers.add(index[control])
            outside.discard(control)
        elif kind not in _NAMED_LIKE_STATES:
            raise UnknownControlError(control, f"controls a contact, but a {kind} moves nothing")
    return tuple(sorted(outside)), tuple(sorted(movers))


def _controlled(
    branch: Branch, control: str, outside: tuple[str, ...], movers: tuple[int, ...], elements: _Elements
) -> Branch:
    if not control:
        return branch
    if control in outside:
        return replace(branch, outside=outside.index(control))
    place = next(k for k, (other, _) in enumerate(elements) if other.name == control)
    return replace(branch, mover=movers.index(place))
