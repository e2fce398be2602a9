"""Netlists of a door's faults that are solved side by side against each by itself."""

from __future__ import annotations

from math import inf, isfinite
from typing import Any

import numpy as np
import pytest

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.errors import CircuitValueError
from riserkit.circuits.miswirings import MiswiringKind
from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist, Terminal
from riserkit.circuits.one_structure import ComponentsOnce
from riserkit.circuits.overlay import overlaid
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.changes import Wired, Without
from riserkit.troubleshooting.controller import unpowered
from riserkit.troubleshooting.diagnose import all_suspects
from riserkit.troubleshooting.held import HeldNetlists
from riserkit.troubleshooting.netlists import FaultNetlists, batches
from riserkit.troubleshooting.predict import _End, _shown, predict
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.readings.meter import VOLTS, Measurement
from riserkit.wiring.readings.shown import door_miswirings
from riserkit.wiring.readings.signals import Signals, joined
from riserkit.wiring.roles import ElementRole
from tests.troubleshooting.simulated import AT
from tests.wiring.miswired_doors import VARIANTS


def _of_wrong_kind(suspects: tuple[Suspect, ...]) -> list[Suspect]:
    return [
        s
        for s in suspects
        for change in s.ways[0]
        if isinstance(change, Wired) and change.miswiring.kind is MiswiringKind.WRONG_CONTACT
    ]


@pytest.mark.slow
def test_contacts_of_the_wrong_kind_are_solved_with_all_others_and_read_the_same(doors: Any) -> None:
    variant, differs = VARIANTS["outside supply, two leaves"]
    circuit = doors.circuit(variant, {**doors.served[variant], **differs})
    suspects = all_suspects(circuit)
    wrong = _of_wrong_kind(suspects)
    assert len(wrong) > 3
    faults = FaultNetlists(circuit)
    netlists = {s.ways[0]: made for s in (suspects[0], *wrong) if (made := faults(s.ways[0])) is not None}
    assert [len(batch) for batch in batches(netlists)] == [len(netlists)]
    asked = [ask.asked for ask in every_ask(circuit) if ask.asked.meter == VOLTS and not ask.asked.lifts]
    together = predict(FaultNetlists(circuit), suspects, asked, AT, typical=True)
    healthy = together.typical[:, 0]
    for one in wrong:
        alone = predict(FaultNetlists(circuit), [one], asked, AT, typical=True)
        column = suspects.index(one)
        for found, own in zip(together, alone, strict=True):
            np.testing.assert_allclose(found[:, column], own[:, 0], rtol=1e-9, atol=1e-9)
        assert not np.allclose(alone.typical[:, 0], healthy, equal_nan=True), one.words


@pytest.mark.parametrize("variant", ["relay module, magnet", "outside supply, two leaves"])
def test_data_is_lost_where_conductors_join_its_terminals_otherwise(doors: Any, variant: str) -> None:
    """Only conductors that differ at what data reaches are looked at closely: it must come to the same."""
    name, differs = VARIANTS[variant]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    netlist = circuit.netlist
    signals = Signals(netlist)
    meant = joined(netlist, signals.terminals)
    found = []
    for wrong in map(Wired, door_miswirings(circuit)):
        made = wrong(netlist)
        here = joined(made, signals.terminals)
        found.append(signals.lost(made))
        assert found[-1] == tuple(t for t in signals.terminals if here[t] != meant[t]), wrong
    assert any(found) and not all(found)


def test_a_dead_controller_commands_nothing_and_reads_no_input(doors: Any) -> None:
    variant, differs = VARIANTS["splitter"]
    circuit = doors.circuit(variant, {**doors.served[variant], **differs})
    loads = circuit.netlist.elements(ElementRole.CONTROLLER_LOAD)
    fed = [name for name in loads if circuit.netlist.element(name).values["p_w"] > 0.0]
    faults, healthy, dead = FaultNetlists(circuit), (), (Without(frozenset(fed)),)
    assert fed and faults.asks(healthy) and not faults.asks(dead)
    for name in sorted(unpowered(circuit).names):
        ohms = [faults(way).element(name).values for way in (healthy, dead)]
        finite_ohms = [
            all(isfinite(v) for key, v in values.items() if key in ("r_ohm", "r_closed_ohm")) for values in ohms
        ]
        assert finite_ohms == [True, False], name


def test_a_relay_that_never_pulls_in_may_be_the_first_of_those_solved_together() -> None:
    """The first of them states what kind of circuit it is: what is infinite in it is any value that a circuit may have."""
    values = {"r_ohm": 100.0, "v_pull_in_v": inf, "v_drop_out_v": 2.0}
    coil = Element("coil", ElementKind.COIL, "1", "0", values)
    relay = Component("K1", "relay", (Terminal("0"), Terminal("1")), (coil,))
    circuit = overlaid(Netlist((relay,), (), (), (), "K1.0"), [()], [(relay,)])
    assert circuit.params[:, 0].tolist() == [100.0, inf, 2.0]


def test_where_one_netlist_of_many_is_ill_posed_what_nobody_asked_is_not_solved() -> None:
    asked: list[int] = []

    def solve(_: object, netlists: Any, made: Any, readings: Any, ends: Any, wanted: Any) -> Any:
        asked.append(int(wanted.sum()))
        if len(netlists) > 1:
            raise CircuitValueError("K1", "ill-posed beside others")
        return np.ones((1, 1, 1)), np.ones((1, 1, 1))

    reading = Measurement(VOLTS, "K1.1", "K1.0")
    end, wanted = _End(0, SourceLevel.NOMINAL, 20.0), np.array([[True, False, True]])
    low, _ = _shown(
        solve, HeldNetlists(ComponentsOnce()), [Netlist((), (), (), (), "")] * 3, (None,), [reading], [end], wanted
    )
    assert asked == [2, 1, 1]
    np.testing.assert_array_equal(low[0, 0], [1.0, np.nan, 1.0])
