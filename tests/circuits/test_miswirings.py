"""Miswirings of a netlist: what each changes, on a circuit whose answers are plain."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from riserkit.circuits.errors import CircuitValueError, UnknownControlError
from riserkit.circuits.miswirings import (
    LINK,
    LINK_OHM,
    Miswiring,
    MiswiringKind,
    miswired,
    single_miswirings,
    with_link,
)
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.solve import solve


def lamp() -> Netlist:
    """12 V through a changeover relay's NO and a cable of two conductors to a lamp of 24 ohm, with a diode across it."""
    contact = {"r_closed_ohm": 0.05}
    parts = (
        Component("G1", "supply", (Terminal("+"), Terminal("-")),
                  (Element("v", ElementKind.SOURCE, "+", "-", {"v_nominal_v": 12.0, "r_ohm": 0.1}),)),
        Component("S1", "switch", (Terminal("C"), Terminal("NO"), Terminal("NC")),
                  (Element("no", ElementKind.CONTACT, "C", "NO", contact, "S1.on", False),
                   Element("nc", ElementKind.CONTACT, "C", "NC", contact, "S1.on", True))),
        Component("S2", "button", (Terminal("1"), Terminal("2")),
                  (Element("break", ElementKind.CONTACT, "1", "2", contact, "S2.pressed", True),)),
        Component("E1", "lamp", (Terminal("+"), Terminal("-")),
                  (Element("r", ElementKind.RESISTOR, "+", "-", {"r_ohm": 24.0}),)),
        Component("R1", "diode", (Terminal("A"), Terminal("K")),
                  (Element("d", ElementKind.DIODE, "A", "K", {"v_forward_v": 0.7, "r_on_ohm": 0.05}),)),
    )  # fmt: skip
    wires = (
        ("1", "G1.+", "S1.C", "W1"), ("2", "S1.NO", "S2.1", "W1"), ("3", "S2.2", "E1.+", "W2"), ("4", "E1.-", "G1.-", "W2"),
        ("5", "R1.K", "E1.+", ""), ("6", "R1.A", "E1.-", ""),
    )  # fmt: skip
    conductors = tuple(
        Conductor(ref, Landing(*a.split(".")), Landing(*b.split(".")), "", "", 0.5, cable) for ref, a, b, cable in wires
    )
    return Netlist(parts, (), conductors, (), "G1.-")


def lamp_v(netlist: Netlist, **state: bool) -> float:
    return float(solve(netlist, {name.replace("_", "."): on for name, on in state.items()}).element_v("E1.r")[0])


def only(kind: MiswiringKind, *subjects: str, **more: object) -> Netlist:
    return miswired(lamp(), Miswiring(kind, subjects, **more))


def test_as_meant_the_lamp_follows_its_switch_and_button() -> None:
    """A loop of 24 ohm, 0.1 of the source, two contacts of 0.05 and four conductors of 0.5: 12 x 24 / 26.2."""
    assert lamp_v(lamp()) == pytest.approx(0.0, abs=1e-9)
    assert lamp_v(lamp(), S1_on=True) == pytest.approx(12.0 * 24.0 / 26.2)
    assert lamp_v(lamp(), S1_on=True, S2_pressed=True) == pytest.approx(0.0, abs=1e-9)


def test_every_kind_is_found_once_for_each_thing_it_can_befall() -> None:
    found = single_miswirings(lamp(), [("G1.+", "S1.C"), ("S1.C", "S1.NC")])
    assert Counter(m.kind for m in found) == {
        MiswiringKind.OPEN: 4,
        MiswiringKind.LEAD_MISSING: 2,
        MiswiringKind.REVERSED: 1,
        # G1, S1, S2 one pair each; E1 has conductors 3 and 5 on +, 4 and 6 on -
        MiswiringKind.EXCHANGED: 3 + 4,
        MiswiringKind.WRONG_CONTACT: 2,  # nothing lands on NC
        MiswiringKind.BYPASSED: 2,
        MiswiringKind.LINK_LEFT_IN: 1,  # the other pair is joined by a conductor
    }
    assert len(set(found)) == len(found)


def test_open_and_missing_take_the_conductor_away() -> None:
    assert lamp_v(only(MiswiringKind.OPEN, "3"), S1_on=True) == pytest.approx(0.0, abs=1e-9)
    assert {c.ref for c in only(MiswiringKind.LEAD_MISSING, "5").conductors} == {"1", "2", "3", "4", "6"}


def test_exchanged_at_one_component_turns_the_lamp_about() -> None:
    wrong = only(MiswiringKind.EXCHANGED, "3", "4", ends=("E1.+", "E1.-"))
    # Plus comes to the anode now: 12 V behind 2.2 ohm feed the lamp and, past 0.7 V, 1.05 ohm of diode and its leads.
    expected_v = (12.0 / 2.2 + 0.7 / 1.05) / (1 / 2.2 + 1 / 1.05 + 1 / 24.0)
    assert lamp_v(wrong, S1_on=True) == pytest.approx(-expected_v)
    landed = {c.ref: (str(c.a), str(c.b)) for c in wrong.conductors}
    assert (landed["3"], landed["4"]) == (("S2.2", "E1.-"), ("E1.+", "G1.-"))


def test_a_reversed_diode_conducts() -> None:
    wrong = only(MiswiringKind.REVERSED, "5", "6", ends=("R1.K", "R1.A"))
    assert 0.7 < lamp_v(wrong, S1_on=True) < 6.5
    assert solve(wrong, {"S1.on": True}).element_a("R1.d")[0] > 1.0


def test_the_wrong_contact_of_a_pair_and_of_a_single_contact() -> None:
    """On NC the lamp burns at rest; a button whose opening contact is taken for its closing one lets it burn while pressed."""
    changeover = only(MiswiringKind.WRONG_CONTACT, "S1.no")
    assert lamp_v(changeover) == pytest.approx(12.0 * 24.0 / 26.2)
    assert lamp_v(changeover, S1_on=True) == pytest.approx(0.0, abs=1e-9)
    assert "S1.NC" in {str(c.a) for c in changeover.conductors}
    button = only(MiswiringKind.WRONG_CONTACT, "S2.break")
    assert lamp_v(button, S1_on=True) == pytest.approx(0.0, abs=1e-9)
    assert lamp_v(button, S1_on=True, S2_pressed=True) > 10.0


def test_a_bypassed_contact_and_a_link_left_in() -> None:
    bypassed = only(MiswiringKind.BYPASSED, "S2.break")
    assert lamp_v(bypassed, S1_on=True, S2_pressed=True) == pytest.approx(12.0 * 24.0 / (26.15 + LINK_OHM))
    linked = only(MiswiringKind.LINK_LEFT_IN, "G1.+", "S1.NO")
    assert lamp_v(linked) > 10.0


@pytest.mark.parametrize("r_ohm", [0.1, 3.0, 470.0])
def test_a_poor_joint_of_any_resistance_is_in_the_loop(r_ohm: float) -> None:
    wrong = only(MiswiringKind.POOR_JOINT, "2", r_ohm=r_ohm)
    assert lamp_v(wrong, S1_on=True) == pytest.approx(12.0 * 24.0 / (26.2 + r_ohm))


@pytest.mark.parametrize("r_ohm", [0.0, -1.0, float("nan"), float("inf")])
def test_a_poor_joint_has_a_resistance(r_ohm: float) -> None:
    with pytest.raises(CircuitValueError, match="poor joint"):
        only(MiswiringKind.POOR_JOINT, "2", r_ohm=r_ohm)


@pytest.mark.parametrize(
    "miswiring",
    [
        Miswiring(MiswiringKind.OPEN, ("9",)),
        Miswiring(MiswiringKind.EXCHANGED, ("3", "4"), ("E1.+", "G1.+")),
        Miswiring(MiswiringKind.BYPASSED, ("S9.x",)),
        Miswiring(MiswiringKind.LINK_LEFT_IN, ("G1.+", "S1.X")),
    ],
)
def test_what_is_not_there_cannot_be_miswired(miswiring: Miswiring) -> None:
    with pytest.raises(UnknownControlError):
        miswired(lamp(), miswiring)


def test_a_conductor_with_both_ends_at_one_component_changes_places_at_the_end_named() -> None:
    netlist = with_link(lamp(), "S1.C", "S1.NC")
    pairs = {m.ends for m in single_miswirings(netlist) if set(m.subjects) == {"2", LINK}}
    assert pairs == {("S1.NO", "S1.C"), ("S1.NO", "S1.NC")}
    wrong = miswired(netlist, Miswiring(MiswiringKind.EXCHANGED, ("2", LINK), ("S1.NO", "S1.NC")))
    landed = {c.ref: {str(c.a), str(c.b)} for c in wrong.conductors}
    assert landed["2"] == {"S1.NC", "S2.1"}
    assert landed[LINK] == {"S1.C", "S1.NO"}


def test_links_are_numbered_and_the_netlist_given_stays() -> None:
    netlist = lamp()
    twice = with_link(with_link(netlist, "G1.+", "S1.C"), "S1.C", "S1.NO")
    assert [c.ref for c in twice.conductors][-2:] == [LINK, f"{LINK}2"]
    assert netlist == replace(lamp())
