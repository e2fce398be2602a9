"""One set of components wired in many ways, solved side by side.

Circuits are solved together when they share a structure. Wirings that differ in a wire or two share one as well: that of all
their wires together, of which each has some but not the others. A missing wire has no conductance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf

import numpy as np

from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.netlist import Conductor, Landing, Netlist

Wiring = Sequence[Conductor]


def overlaid(netlist: Netlist, wirings: Sequence[Wiring]) -> Circuit:
    """The components of a netlist wired in each of several ways, a column a way.

    Args:
        netlist: whose components and reference count; its own conductors do not.
        wirings: the conductors of each way.

    Raises:
        CircuitError: the components or a conductor are ill-posed.
    """
    if len(wirings) == 1:
        return circuit_of(replace(netlist, conductors=tuple(wirings[0])))
    row_of: dict[tuple[str, Landing, Landing], int] = {}
    place_of: dict[int, int] = {}
    every: list[Conductor] = []
    met: set[str] = set()
    r_ohm: list[dict[int, float]] = []
    for wiring in wirings:
        here: dict[int, float] = {}
        for wire in wiring:
            # most wires are the same object in many ways, and to look one up by its landings takes longer
            row = place_of.get(id(wire), -1)
            if row < 0:
                row = place_of[id(wire)] = row_of.setdefault((wire.ref, wire.a, wire.b), len(every))
                if row == len(every):
                    every.append(replace(wire, ref=f"{wire.ref}~{row}") if wire.ref in met else wire)
                    met.add(wire.ref)
            here[row] = wire.r20_ohm
        r_ohm.append(here)
    whole = circuit_of(replace(netlist, conductors=tuple(every)))
    lacking = np.full((len(every), len(wirings)), inf)
    for column, here in enumerate(r_ohm):
        lacking[list(here), column] = list(here.values())
    values = np.repeat(whole.params[: -len(every)], len(wirings), axis=1)
    return Circuit(whole.topology, np.concatenate([values, lacking]))
