"""Wirings of one set of components, solved side by side, are what each of them is alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from riserkit.circuits.cases import plain_cases
from riserkit.circuits.circuit import circuit_of
from riserkit.circuits.miswirings import Miswiring, MiswiringKind, miswired, single_miswirings
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.overlay import overlaid
from riserkit.circuits.solve import solve_cases


def _netlist() -> Netlist:
    """A supply, a switch and two lamps: one across it, one behind the switch."""

    def device(ref: str, a: str, b: str, kind: ElementKind, values: dict[str, float], **more: Any) -> Component:
        return Component(ref, ref, (Terminal(a), Terminal(b)), (Element("e", kind, a, b, values, **more),))

    def wire(ref: str, a: str, b: str, r_ohm: float) -> Conductor:
        return Conductor(ref, Landing(*a.split(".")), Landing(*b.split(".")), "W", "", r_ohm)

    return Netlist(
        (
            device("G1", "+", "-", ElementKind.SOURCE, {"v_nominal_v": 12.0, "r_ohm": 0.5}),
            device("S1", "1", "2", ElementKind.CONTACT, {"r_closed_ohm": 0.1}, normally_closed=True),
            device("P1", "+", "-", ElementKind.RESISTOR, {"r_ohm": 24.0}),
            device("P2", "+", "-", ElementKind.RESISTOR, {"r_ohm": 48.0}),
        ),
        (),
        (
            wire("1", "G1.+", "S1.1", 0.3),
            wire("2", "S1.2", "P1.+", 0.4),
            wire("3", "G1.-", "P1.-", 0.5),
            wire("4", "G1.+", "P2.+", 0.6),
            wire("5", "G1.-", "P2.-", 0.7),
        ),
        (),
        "G1.-",
    )


def test_side_by_side_every_miswiring_has_the_currents_it_has_alone() -> None:
    netlist = _netlist()
    wanted = [m for m in single_miswirings(netlist) if m.kind is not MiswiringKind.WRONG_CONTACT]
    wanted.append(Miswiring(MiswiringKind.POOR_JOINT, ("2",), r_ohm=5.0))
    wrong = [netlist, *(miswired(netlist, m) for m in wanted)]
    together = overlaid(netlist, [one.conductors for one in wrong])
    solved = solve_cases(together, plain_cases(together))
    assert together.count == len(wrong) > 10
    alone = [solve_cases(circuit_of(one), plain_cases(circuit_of(one))) for one in wrong]
    for name in ("G1.e", "P1.e", "P2.e"):
        each = [float(solution.element_a(name)[0]) for solution in alone]
        assert np.allclose(solved.element_a(name), each, rtol=1e-9, atol=1e-12)
    assert len({round(float(a), 6) for a in solved.element_a("P1.e")}) > 4


def test_a_single_wiring_is_the_circuit_itself() -> None:
    netlist = _netlist()
    assert overlaid(replace(netlist, conductors=()), [netlist.conductors]).topology is circuit_of(netlist).topology
