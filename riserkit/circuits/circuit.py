"""Circuits of one structure, side by side: a topology and an array of their values.

The topology is worked out once for each structure and remembered, so that ten thousand doors of one
arrangement cost ten thousand rows of numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.elimination import FloatArray, IntArray
from riserkit.circuits.errors import CircuitValueError
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.topology import Key, Topology, key_of, topology_of

_MOST_REMEMBERED = 4096
_topologies: dict[Key, Topology] = {}


@dataclass(frozen=True, slots=True)
class Circuit:
    """One or many circuits of one structure.

    Attributes:
        topology: what they share.
        params: their values in SI units, shape (topology.n_params, circuits), in the order of `topology.params`.
    """

    topology: Topology
    params: FloatArray

    @property
    def count(self) -> int:
        """How many circuits stand side by side."""
        return int(self.params.shape[1])


@dataclass(frozen=True, slots=True)
class Group:
    """Those of a list of netlists that share a structure. `index`: their places in the list, shape (circuits,)."""

    index: IntArray
    circuit: Circuit


def circuit_of(netlist: Netlist) -> Circuit:
    """The circuit of one netlist.

    Raises:
        UnknownNodeError: a landing, an element or the reference names a terminal that is not there.
        UnknownControlError: a contact names something that cannot move it.
        CircuitValueError: a value is missing, not a number, or outside what physics allows.
    """
    return circuits_of([netlist])[0].circuit


def circuits_of(netlists: Sequence[Netlist]) -> tuple[Group, ...]:
    """Sort netlists by structure, in order of first appearance; each structure becomes one batch.

    Raises:
        CircuitError: as `circuit_of`.
    """
    places: dict[Key, list[int]] = {}
    values: dict[Key, list[list[float]]] = {}
    for k, netlist in enumerate(netlists):
        key = key_of(netlist)
        if key not in _topologies:
            _remember(key, topology_of(netlist))
        topology = _topologies[key]
        places.setdefault(key, []).append(k)
        values.setdefault(key, []).append(_values(topology, netlist))
    return tuple(_group(_topologies[key], places[key], values[key]) for key in places)


def _remember(key: Key, topology: Topology) -> None:
    if len(_topologies) >= _MOST_REMEMBERED:
        _topologies.clear()
    _topologies[key] = topology


def _values(topology: Topology, netlist: Netlist) -> list[float]:
    values: list[float] = []
    components = netlist.components
    try:
        for i, j, reader in topology.places:
            values += reader(components[i].elements[j].values)
    except KeyError as missing:
        name = f"{components[i].ref}.{components[i].elements[j].name}"
        kind = components[i].elements[j].kind
        raise CircuitValueError(name, f"this {kind} does not state {missing.args[0]}") from None
    values += [conductor.r20_ohm for conductor in netlist.conductors]
    return values


def _group(topology: Topology, places: list[int], values: list[list[float]]) -> Group:
    params = np.ascontiguousarray(np.array(values, dtype=np.float64).reshape(len(values), topology.n_params).T)
    _check(topology, params)
    return Group(np.array(places, dtype=np.int64), Circuit(topology, params))


def _check(topology: Topology, params: FloatArray) -> None:
    least, strict, infinite, unknown = (bound[:, None] for bound in topology.bounds)
    sound = np.where(strict, params > least, params >= least) & (np.isfinite(params) | infinite)
    sound |= unknown & np.isnan(params)
    if not sound.all():
        row, column = (int(k) for k in np.argwhere(~sound)[0])
        branch, value = topology.params[row]
        bound = f"more than {value.least:g}" if value.strict else f"{value.least:g} or more"
        raise CircuitValueError(branch.name, f"{value.name} is {params[row, column]:g}, must be {bound} and finite")
    _check_movers(topology, params)


def _check_movers(topology: Topology, params: FloatArray) -> None:
    if not topology.movers:
        return
    pull_in, drop_out = topology.mover_params
    above = params[drop_out] > params[pull_in]
    unstated = np.isnan(params[pull_in]) | np.isnan(params[drop_out])
    moving = {b.mover for b in topology.elements if b.mover >= 0}
    unstated &= np.array([place in moving for place in range(len(topology.movers))])[:, None]
    if not (above | unstated).any():
        return
    place = int(np.argmax((above | unstated).any(axis=1)))
    name = topology.elements[topology.movers[place]].name
    if above[place].any():
        raise CircuitValueError(name, "v_drop_out_v is above v_pull_in_v")
    raise CircuitValueError(name, "moves a contact but does not state v_pull_in_v and v_drop_out_v")
