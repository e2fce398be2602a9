"""One door that cannot be worked out is told of that door, and stops none of the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from riserkit.circuits.netlist import Element, ElementKind
from riserkit.findings import Severity, Verdict
from riserkit.proofs import book
from riserkit.proofs.book import Unproven
from riserkit.reports.test_sheet import site_test_table
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}


class Spoilt:
    """An arrangement that goes wrong at the openings with these marks."""

    def __init__(self, arrangement, marks, spoil):
        self.arrangement, self.marks, self.spoil = arrangement, marks, spoil
        self.name, self.title, self.rank = arrangement.name, arrangement.title, arrangement.rank

    def screen(self, need):
        return self.arrangement.screen(need)

    def supplies(self, need):
        return self.arrangement.supplies(need)

    def build(self, need, choice):
        circuit = self.arrangement.build(need, choice)
        return self.spoil(circuit) if need.opening.mark in self.marks else circuit


def raising(error):
    def spoil(circuit):
        raise error

    return spoil


def without_a_value(circuit):
    """A coil that does not state its resistance."""
    netlist = circuit.netlist
    bare = Element("coil", ElementKind.COIL, "+", "-", {"v_pull_in_v": 8.0, "v_drop_out_v": 1.0}, role="lock coil")
    components = tuple(replace(c, elements=(bare,)) if c.ref == "M1" else c for c in netlist.components)
    return replace(circuit, netlist=replace(netlist, components=components))


SPOILS = (
    raising(IndexError("index 0 is out of bounds")), raising(ZeroDivisionError("division by zero")), without_a_value,
)  # fmt: skip


@pytest.mark.parametrize("spoil", SPOILS)
def test_a_door_that_cannot_be_computed_is_an_error_at_that_door_alone(site_of, monkeypatch, spoil):
    spoilt = tuple(Spoilt(a, {"101"}, spoil) for a in SHIPPED_ARRANGEMENTS)
    plain = site_of(STRIKE, STRIKE, STRIKE)
    monkeypatch.setattr("riserkit.design.SHIPPED_ARRANGEMENTS", spoilt)
    made = site_of(STRIKE, STRIKE, STRIKE)
    bad, good = made.doors[0], made.doors[1:]
    assert bad.wiring.chosen is None
    assert bad.wiring.circuit is None
    assert [d.wiring.chosen for d in good] == [d.wiring.chosen for d in plain.doors[1:]]
    assert isinstance(bad.proof, Unproven)
    assert [d.proof.topology.properties for d in good] == [d.proof.topology.properties for d in plain.doors[1:]]
    told = [f for f in check(made) if f.subject == "101" and f.verdict is not Verdict.PASS]
    worst = [f for f in told if f.severity is Severity.ERROR]
    assert [f.rule for f in worst] == ["no-suitable-wiring"]
    assert "its circuit cannot be solved: " in worst[0].message
    assert {row[0] for row in site_test_table(made).rows} >= {"102", "103"}


def test_a_group_that_fails_before_any_circuit_is_told_door_by_door(site_of, monkeypatch):
    class Refusing(Spoilt):
        def screen(self, need):
            if need.opening.mark in self.marks:
                raise ValueError("no table for this opening")
            return self.arrangement.screen(need)

    refusing = tuple(Refusing(a, {"101"}, None) for a in SHIPPED_ARRANGEMENTS)
    monkeypatch.setattr("riserkit.design.SHIPPED_ARRANGEMENTS", refusing)
    made = site_of(STRIKE, STRIKE)
    assert made.doors[1].wiring.chosen is not None
    found = [f for f in check(made) if f.subject == "101" and f.is_open and f.severity is Severity.ERROR]
    assert [(f.rule, f.verdict) for f in found] == [("no-suitable-wiring", Verdict.NOT_EVALUATED)]
    assert "no table for this opening (ValueError)" in found[0].message


def test_a_circuit_that_breaks_in_its_proof_only_is_an_error_at_its_door(site_of, monkeypatch):
    """Alike doors are proven together; what fails for one of them by itself must not be said of the others."""
    made = site_of(STRIKE, {**STRIKE, "width_m": 1.4})
    real, calls = book.prove, []

    def breaking(extremes, *args, **options):
        calls.append(extremes)
        first = made.doors[0].wiring.circuit.netlist.conductors
        if len(calls) == 1 or extremes.circuit.netlist.conductors == first:
            raise IndexError("index 0 is out of bounds for axis 0 with size 0")
        return real(extremes, *args, **options)

    monkeypatch.setattr(book, "prove", breaking)
    assert isinstance(made.doors[0].proof, Unproven)
    assert not isinstance(made.doors[1].proof, Unproven)
    found = [f for f in check(made) if f.verdict is Verdict.NOT_EVALUATED and f.severity is Severity.ERROR]
    assert {f.subject for f in found} == {"101"}
    assert "lock-follows-controller" in {f.rule for f in found}
