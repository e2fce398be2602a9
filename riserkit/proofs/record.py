"""Proofs kept from an earlier build, so that a circuit that is still the same is not proven again.

A proof depends on every field of the circuit at the lengths that it is solved with, and on the temperatures.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import Any

from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Component, Netlist
from riserkit.kept import KeptWork
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.values import Counterexample, Outcome, Property, TopologyProof, TruthRow
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import DeviceRole

_Plain = Mapping[str, Any]


def proven(
    kept: KeptWork,
    extremes: Extremes,
    fail_safe: bool,
    at_c: tuple[float, float],
    prove: Callable[[], TopologyProof],
) -> TopologyProof:
    """The proof of a circuit at some temperatures: the one kept if it is whole and of just this circuit, else a new one."""
    values = _without_port_places(extremes), fail_safe, at_c
    return kept.of("proof", values, prove, _proof, lambda proof: asdict(replace(proof, doors=1)))


def _without_port_places(extremes: Extremes) -> Extremes:
    return Extremes(
        without_port_places(extremes.circuit), _without_places(extremes.shortest), _without_places(extremes.longest)
    )


def without_port_places(circuit: DoorCircuit) -> DoorCircuit:
    """The port in the closet has a name of its own at each door, which nothing reads that is said of doors wired alike.

    Of one within reach it stays: an attack is told with the place where it is done.
    """
    return replace(circuit, netlist=_without_places(circuit.netlist))


def _without_places(netlist: Netlist) -> Netlist:
    def named(component: Component) -> Component:
        hidden = component.role == DeviceRole.NETWORK_PORT and not component.exposed
        return replace(component, place="", title="") if hidden else component

    return replace(netlist, components=tuple(map(named, netlist.components)))


def _proof(kept: _Plain) -> TopologyProof:
    properties = tuple(map(_property, kept["properties"]))
    table = tuple(TruthRow(tuple(row["state"]), row["lock_state"]) for row in kept["table"])
    lists = {name: tuple(kept[name]) for name in ("locks", "names")}
    return TopologyProof(**{**kept, **lists, "properties": properties, "table": table})


def _property(kept: _Plain) -> Property:
    example = kept["counterexample"]
    return Property(**{
        **kept, "outcome": Outcome(kept["outcome"]), "faults": tuple(map(_fault, kept["faults"])),
        "fault_phrases": tuple(kept["fault_phrases"]), "counterexample": _counterexample(example) if example else None,
    })  # fmt: skip


def _counterexample(kept: _Plain) -> Counterexample:
    lists = {name: tuple(kept[name]) for name in ("affected", "path", "backward")}
    return Counterexample(
        **{**kept, **lists, "state": dict(kept["state"]), "faults": tuple(map(_fault, kept["faults"]))}
    )


def _fault(kept: _Plain) -> Fault:
    join = kept["join"]
    return Fault(
        FaultKind(kept["kind"]), tuple(kept["subjects"]), (join[0], join[1]) if join else None, kept["foreign_v"]
    )
