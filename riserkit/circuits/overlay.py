"""One set of components wired in many ways, and made of other values, solved side by side.

Circuits are solved together when they share a structure. Wirings that differ in a wire or two share one as well: that of all
their wires together, of which each has some but not the others. A missing wire has no conductance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf, isfinite

import numpy as np

from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Component, Conductor, Element, Landing, Netlist

Wiring = Sequence[Conductor]
Components = tuple[Component, ...]


def overlaid(netlist: Netlist, wirings: Sequence[Wiring], made: Sequence[Components] = ()) -> Circuit:
    """The components of a netlist wired in each of several ways, a column a way.

    Args:
        netlist: whose components and reference count; its own conductors do not.
        wirings: the conductors of each way.
        made: the components of each way, where they differ from the netlist's in values, which then do not count. An infinite
            resistance passes nothing; an infinite pull-in voltage is never reached.

    Raises:
        CircuitError: the components or a conductor are ill-posed.
    """
    if not made:
        return _wired(netlist, wirings)
    finite = (replace(c, elements=tuple(map(_finite, c.elements))) for c in netlist.components)
    circuit = _wired(replace(netlist, components=tuple(finite)), wirings)
    columns: dict[int, list[int]] = {}
    for column, components in enumerate(made):
        columns.setdefault(id(components), []).append(column)
    params = circuit.params.copy()
    for same in columns.values():
        params[: params.shape[0] - len(circuit.topology.conductors), same] = _values(circuit, made[same[0]])[:, None]
    return Circuit(circuit.topology, params)


def _values(circuit: Circuit, components: Components) -> FloatArray:
    found = (reader(components[i].elements[j].values) for i, j, reader in circuit.topology.places)
    return np.array([value for values in found for value in values])


def _wired(netlist: Netlist, wirings: Sequence[Wiring]) -> Circuit:
    if len(wirings) == 1:
        return circuit_of(replace(netlist, conductors=tuple(wirings[0])))
    # One wiring may stand for many columns, whose components differ.
    once = {id(wiring): wiring for wiring in wirings}
    column_of = {name: column for column, name in enumerate(once)}
    row_of: dict[tuple[str, Landing, Landing], int] = {}
    every: list[Conductor] = []
    met: set[str] = set()
    # most wires are the same object in many ways, and to look one up by its landings takes longer
    place_of: dict[int, int] = {}
    ohm_of: dict[int, float] = {}
    wires: dict[int, Conductor] = {}
    names_of = [list(map(id, wiring)) for wiring in once.values()]
    for names, wiring in zip(names_of, once.values(), strict=True):
        wires.update(zip(names, wiring, strict=True))
    for name, wire in wires.items():
        row = place_of[name] = row_of.setdefault((wire.ref, wire.a, wire.b), len(every))
        ohm_of[name] = wire.r20_ohm
        if row == len(every):
            every.append(replace(wire, ref=f"{wire.ref}~{row}") if wire.ref in met else wire)
            met.add(wire.ref)
    whole = circuit_of(replace(netlist, conductors=tuple(every)))
    # of each only what differs from the first is put in place
    own = set(names_of[0])
    lacking = np.full((len(once), len(every)), inf)
    lacking[:, [place_of[name] for name in names_of[0]]] = [ohm_of[name] for name in names_of[0]]
    for of_one, names in zip(lacking, names_of, strict=True):
        for name in own.difference(names):
            of_one[place_of[name]] = inf
        for name in set(names) - own:
            of_one[place_of[name]] = ohm_of[name]
    values = np.repeat(whole.params[: -len(every)], len(wirings), axis=1)
    columns = [column_of[id(wiring)] for wiring in wirings]
    return Circuit(whole.topology, np.concatenate([values, lacking[columns].T]))


def _finite(element: Element) -> Element:
    """The element with values that any circuit may have: those of each netlist are put in their place afterwards."""
    known = [v for v in element.values.values() if isfinite(v)]
    if len(known) == len(element.values):
        return element
    most = max([1.0, *known])  # no coil pulls in below the voltage at which it drops out
    return replace(element, values={name: v if isfinite(v) else most for name, v in element.values.items()})
