"""Small netlists to solve: a builder for circuits of a few elements, and one circuit the size of a real one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal


def element(name: str, ends: str, control: str = "", closed: bool = False, **values: float) -> Element:
    """`element("coil", "coil + -", r_ohm=24.0)`: kind and both ends in one string."""
    kind, a, b = ends.split()
    return Element(name, ElementKind(kind), a, b, values, control, closed)


def component(ref: str, terminals: str, *elements: Element) -> Component:
    return Component(ref, ref, tuple(Terminal(name) for name in terminals.split()), elements)


def conductor(ref: str, a: str, b: str, r20_ohm: float, cable: str = "") -> Conductor:
    (ca, ta), (cb, tb) = a.split("."), b.split(".")
    return Conductor(ref, Landing(ca, ta), Landing(cb, tb), "RD", "18 AWG", r20_ohm, cable)


def board(nodes: str, *elements: Element, reference: str = "0") -> Netlist:
    """One component `N` with the given nodes and elements, no conductors."""
    return Netlist((component("N", nodes, *elements),), (), (), (), f"N.{reference}")


WIRES = (
    ("W1", "G1.+", "K1.A+"),
    ("W1", "G1.-", "K1.A-"),
    ("W2", "K1.L+", "K2.T+"),
    ("W2", "K1.L-", "K2.T-"),
    ("W3", "G1.+", "K2.C"),
    ("W4", "K2.NC", "S3.1"),
    ("W5", "S3.2", "F1.1"),
    ("W5", "F1.2", "Y1.+"),
    ("W4", "Y1.-", "G1.-"),
    ("W6", "K1.D", "S1.1"),
    ("W6", "K1.IC", "S1.2"),
    ("W7", "K1.R", "S2.NO"),
    ("W7", "K1.IC", "S2.C"),
    ("W7", "G1.+", "S2.+"),
    ("W7", "G1.-", "S2.-"),
)


def held_magnet(r_wire_ohm: float = 0.4, r_coil_ohm: float = 24.0) -> Netlist:
    """A magnet held through a relay, a button and an alarm contact, with two inputs: eight parts, fifteen wires."""
    coil = {"v_pull_in_v": 9.0, "v_drop_out_v": 1.0}
    sense = {"r_ohm": 1000.0, "v_pull_in_v": 3.0, "v_drop_out_v": 2.0}
    supply = {"v_nominal_v": 12.0, "v_low_v": 10.8, "v_high_v": 13.7, "r_ohm": 0.1, "i_limit_a": 3.0}
    parts = (
        component("G1", "+ -", element("supply", "source + -", "G1.mains", False, **supply)),
        component(
            "K1",
            "A+ A- L+ L- D R IC J",
            element("load", "power-load A+ A-", p_w=4.0),
            element("output", "contact A+ L+", "K1.output", r_closed_ohm=0.1),
            element("return", "resistor L- A-", r_ohm=0.01),
            element("pull", "resistor A+ _p", r_ohm=1000.0),
            element("door", "coil _p D", **sense),
            element("request", "coil _p R", **sense),
            element("common", "resistor IC A-", r_ohm=0.01),
        ),
        component(
            "K2",
            "T+ T- C NO NC",
            element("coil", "coil T+ T-", r_ohm=200.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
            element("no", "contact C NO", "K2.coil", r_closed_ohm=0.05),
            element("nc", "contact C NC", "K2.coil", True, r_closed_ohm=0.05),
        ),
        component(
            "Y1",
            "+ -",
            element("coil", "coil + -", r_ohm=r_coil_ohm, **coil),
            element("clamp", "suppressor + -", v_clamp_v=30.0),
        ),
        component("S1", "1 2", element("contact", "contact 1 2", "S1.open", True, r_closed_ohm=0.1)),
        component(
            "S2",
            "+ - C NO",
            element("contact", "contact C NO", "S2.motion", r_closed_ohm=0.1),
            element("sensor", "current-load + -", i_a=0.03, v_min_v=9.0),
        ),
        component("S3", "1 2", element("contact", "contact 1 2", "S3.pressed", True, r_closed_ohm=0.05)),
        component("F1", "1 2", element("contact", "contact 1 2", "F1.alarm", True, r_closed_ohm=0.05)),
    )
    wires = tuple(conductor(f"{cable}.{k}", a, b, r_wire_ohm, cable) for k, (cable, a, b) in enumerate(WIRES, start=1))
    return Netlist(parts, (), wires, (), "G1.-")


@pytest.fixture
def magnet() -> Callable[..., Netlist]:
    return held_magnet


class Make:
    """What tests build circuits with."""

    element = staticmethod(element)
    component = staticmethod(component)
    conductor = staticmethod(conductor)
    board = staticmethod(board)


@pytest.fixture(scope="session")
def make() -> type[Make]:
    return Make
