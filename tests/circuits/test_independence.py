"""States of parts that share no current are solved one part at a time, and come out as if solved in every combination."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from riserkit.circuits import kept_cases
from riserkit.circuits import study as studies
from riserkit.circuits.circuit import circuit_of
from riserkit.circuits.faults import Fault, FaultKind, effects_of, single_faults
from riserkit.circuits.independence import ALONE, Parts
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.states import all_states, outside_names


def _contact(name: str, a: str, b: str, control: str, closed: bool = True) -> Element:
    return Element(name, ElementKind.CONTACT, a, b, {"r_closed_ohm": 0.05}, control, closed)


def _box(ref: str, terminals: str, *elements: Element) -> Component:
    return Component(ref, ref, tuple(Terminal(t) for t in terminals.split()), elements)


def _loop(ref: str, volts: float, *, control: str) -> Component:
    """A source through a contact to a coil, with its minus at terminal `-`."""
    values = {"v_nominal_v": volts, "v_low_v": volts * 0.9, "v_high_v": volts * 1.1, "r_ohm": 0.05}
    coil = {"r_ohm": 40.0, "v_pull_in_v": 8.0, "v_drop_out_v": 2.0}
    return _box(
        ref, "+ F -", Element("supply", ElementKind.SOURCE, "+", "-", values), _contact("switch", "+", "F", control),
        Element("coil", ElementKind.COIL, "F", "-", coil),
    )  # fmt: skip


def _wires(*ends: tuple[str, str]) -> tuple[Conductor, ...]:
    return tuple(
        Conductor(str(k), Landing(*a.split(".")), Landing(*b.split(".")), "RD", "18 AWG", 0.1, "W1")
        for k, (a, b) in enumerate(ends, start=1)
    )


def _two_loops(*more: Element) -> Netlist:
    """Two loops that share their minus, each with four contacts in series, the second with a coil that buzzes."""
    buzzing = _contact("buzzer", "1", "2", "T.own")
    four = [_contact(f"c{k}", f"_{k}", f"_{k + 1}" if k < 3 else "B", f"S.c{k}") for k in range(4)]
    load = {"r_ohm": 40.0, "v_pull_in_v": 8.0, "v_drop_out_v": 2.0}
    second = _box(
        "T", "B 1 2 0", buzzing, Element("own", ElementKind.COIL, "2", "0", load), *more,
        _contact("gate", "B", "1", "T.gate", closed=False),
    )  # fmt: skip
    source = {"v_nominal_v": 12.0, "v_low_v": 11.0, "v_high_v": 13.0, "r_ohm": 0.05}
    feed = _box("S", "B 0", Element("feed", ElementKind.SOURCE, "_0", "0", source), *four)
    first = _loop("P", 12.0, control="P.a")
    return Netlist(
        (first, second, feed), (), _wires(("S.B", "T.B"), ("S.0", "T.0"), ("P.-", "S.0")), (), "S.0"
    )  # fmt: skip


def test_loops_that_share_one_node_are_apart():
    topology = circuit_of(_two_loops()).topology
    found = Parts(topology).independence()
    assert found.count == 2
    group = dict(zip(topology.outside, found.outside, strict=True))
    assert len({group[f"S.c{k}"] for k in range(4)} | {group["T.gate"]}) == 1
    assert group["P.a"] != group["S.c0"]
    assert found.elements[topology.element("P.coil")] == group["P.a"]
    assert found.elements[topology.element("T.own")] == group["S.c0"]


def test_a_join_ties_them_only_where_it_closes_a_ring():
    topology = circuit_of(_two_loops()).topology
    ring = Fault(FaultKind.JOINED, ("P.F", "T.1"), ("P.F", "T.1"))
    same = Fault(FaultKind.JOINED, ("P.-", "T.0"), ("P.-", "T.0"))
    tied, _ = effects_of(topology, [ring])
    apart, _ = effects_of(topology, [same])
    assert Parts(tied).independence([0]).count == 1
    assert Parts(apart).independence([0]).count == 2


def test_a_coil_ties_its_contacts_to_itself():
    tie = _contact("tie", "1", "2", "P.coil", closed=False)
    assert Parts(circuit_of(_two_loops(tie)).topology).independence().count == 1


def test_a_contact_to_nowhere_switches_nothing():
    topology = circuit_of(_two_loops(_contact("spare", "2", "_open", "T.spare"))).topology
    found = Parts(topology).independence()
    assert dict(zip(topology.outside, found.outside, strict=True))["T.spare"] == ALONE


def _every_combination(monkeypatch: pytest.MonkeyPatch, netlist: Netlist, faults: tuple[tuple[Fault, ...], ...]):
    states = all_states(outside_names(netlist))
    watched = tuple(f"{c.ref}.{e.name}" for c in netlist.components for e in c.elements if e.kind is ElementKind.SOURCE)
    apart = studies.study(netlist, states, faults, watched)
    monkeypatch.setattr(studies, "_FEW", len(states))
    return apart, studies.study(netlist, states, faults, watched)


@pytest.mark.parametrize("tied", [False, True])
def test_parts_solved_alone_say_what_every_combination_says(monkeypatch, tied):
    """Coils that buzz and currents without a way back among them; shorts that tie the parts are solved in full."""
    more = (_contact("tie", "1", "2", "P.coil", closed=False),) if tied else ()
    netlist = _two_loops(*more)
    ring = Fault(FaultKind.FED, ("P.F", "T.1"), ("P.F", "T.1"), 12.0)
    faults = ((), *((f,) for f in (*single_faults(netlist), ring)), (ring, single_faults(netlist)[0]))
    solved = []
    real = kept_cases.solve_parts
    monkeypatch.setattr(
        kept_cases, "solve_parts", lambda circuit, cases: solved.append(cases.count) or real(circuit, cases)
    )
    apart, whole = _every_combination(monkeypatch, netlist, faults)
    assert apart.unsettled.any()
    assert sum(solved[:-1]) < solved[-1] or tied
    for name in ("coil", "unsettled", "collapsed"):
        assert np.array_equal(getattr(apart, name), getattr(whole, name)), name
    steady = ~whole.unsettled
    assert np.allclose(apart.coil_v[steady], whole.coil_v[steady], atol=1e-9)
    assert np.allclose(apart.watched_a[steady], whole.watched_a[steady], atol=1e-9)


def test_where_one_part_has_no_solution_no_coil_of_the_state_is_known(monkeypatch):
    """Cases with one loop's switch open are marked as without a way back, as the solver would."""
    real = kept_cases.solve_parts

    def marked(circuit, cases):
        for part in real(circuit, cases):
            yield replace(part, adrift=np.where(part.closed("P.switch"), part.adrift, 0))

    monkeypatch.setattr(kept_cases, "solve_parts", marked)
    netlist = _two_loops()
    apart, whole = _every_combination(monkeypatch, netlist, ((), (single_faults(netlist)[0],)))
    off = np.array([state["P.a"] for state in apart.states])
    assert (apart.coil[:, off] == kept_cases.EITHER).all()
    assert np.array_equal(apart.coil, whole.coil)
    assert np.array_equal(apart.unsettled, whole.unsettled)
