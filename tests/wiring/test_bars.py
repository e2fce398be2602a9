"""Switches in the bar or handle on the leaf: their wires go over the hinges, and each leaf with a bar has its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.door.notes import door_notes
from riserkit.field.life_safety import life_safety_tests
from riserkit.proofs.values import RELEASE_BY_HAND, DoorProof, Outcome
from riserkit.proofs.words import outside_words
from riserkit.reports.materials.door import door_lines
from riserkit.standards.egress import MANUAL_RELEASE_SIGN
from riserkit.wiring.readings.expected import expected_readings
from riserkit.wiring.roles import DeviceRole, StateRole
from tests.wiring.conftest import AT

SiteOf = Callable[..., Design]
BAR = {"lock": "magnet-12-300", "egress": "hardware-release", "release": "release-bar", "fail_mode": "fail-safe"}
PAIR = {**BAR, "type": "double", "lock_count": 2}
DELAYED = {"lock": "magnet-12-300", "egress": "delayed", "rex": "rex-bar", "fail_mode": "fail-safe"}


def netlist_of(made: Design) -> Netlist:
    netlist = made.doors[0].wiring.netlist
    assert netlist is not None
    return netlist


def joined(netlist: Netlist, a: str, b: str) -> set[str]:
    """Terminals of `a` that a conductor joins to `b`."""
    found = [(c.a, c.b) for c in netlist.conductors] + [(c.b, c.a) for c in netlist.conductors]
    return {one.terminal for one, other in found if (one.component, other.component) == (a, b)}


def test_the_wires_of_a_release_in_the_bar_go_over_the_hinges(site_of: SiteOf) -> None:
    netlist = netlist_of(site_of(BAR))
    assert joined(netlist, "S1", "X3") == joined(netlist, "X3", "S1") == {"11", "12", "23", "24"}
    assert joined(netlist, "S1", "X1") == set()
    assert joined(netlist, "X3", "X1") == {"11", "12", "23", "24"}
    assert {c.role for c in netlist.cables} >= {"release", "release_leaf"}
    # one on the wall is reached straight from the box
    on_wall = netlist_of(site_of({**BAR, "release": "release-30"}))
    assert joined(on_wall, "S1", "X1") == {"11", "12", "23", "24"}
    assert on_wall.devices(DeviceRole.POWER_TRANSFER) == ()


@pytest.mark.parametrize(
    ("stated", "bars"),
    [({}, 1), ({"lock_count": 2}, 2), ({"inactive_leaf": "exit-device"}, 2), ({"inactive_leaf": "automatic-bolts"}, 1)],
)
def test_each_leaf_with_a_bar_has_its_switch(site_of: SiteOf, stated: dict[str, Any], bars: int) -> None:
    release = netlist_of(site_of({**BAR, "type": "double", **stated}))
    assert [c.ref for c in release.devices(DeviceRole.MANUAL_RELEASE)] == ["S1", "S2"][:bars]
    assert [c.ref for c in release.devices(DeviceRole.POWER_TRANSFER)] == ["X3", "X4"][:bars]
    rex = netlist_of(site_of({**DELAYED, "type": "double", **stated}))
    assert [c.ref for c in rex.devices(DeviceRole.REX_SENSOR)] == ["B2", "B6"][:bars]


def test_either_bar_of_a_pair_releases_both_leaves(site_of: SiteOf) -> None:
    proof = site_of(PAIR).doors[0].proof
    assert isinstance(proof, DoorProof)
    assert proof.about(RELEASE_BY_HAND).outcome is Outcome.PASS


def test_either_bar_of_a_pair_is_read_by_the_controller(site_of: SiteOf) -> None:
    made = site_of({**DELAYED, "type": "double", "lock_count": 2})
    circuit = made.doors[0].wiring.circuit
    assert circuit is not None
    shown = {r.state: r.expected for r in expected_readings(circuit, AT) if r.what == "REX/AUX input"}
    pushed = {ref: value for ref in ("B2", "B6") for state, value in shown.items() if ref in state}
    assert pushed == pytest.approx({"B2": 0.0, "B6": 0.0}, abs=0.05)


def test_both_bars_are_named_in_words(site_of: SiteOf) -> None:
    netlist = netlist_of(site_of(PAIR))
    words = [outside_words(netlist, name) for name in netlist.states(StateRole.RELEASE_PRESSED)]
    assert words == ["manual release pressed at S1", "manual release pressed at S2"]


def test_a_lock_and_a_switch_in_one_leaf_share_a_transfer(site_of: SiteOf) -> None:
    made = site_of({"lock": "exit-device-motor", "egress": "mechanical", "rex": "rex-bar", "fail_mode": "fail-secure"})
    (transfer,) = netlist_of(made).devices(DeviceRole.POWER_TRANSFER)
    assert [t.name for t in transfer.terminals] == ["+", "-", "C", "NO"]
    (note,) = [line.note for line, _ in door_lines(made, made.doors[0]) if line.item == "hinge-transfer"]
    assert note == "for lock and switch in the leaf, 4 wires or more"


def test_a_bar_is_drawn_on_its_leaf(site_of: SiteOf) -> None:
    made = site_of(PAIR)
    door = made.doors[0]
    shape = opening_shape(door.opening, made.site)
    at = {d.ref: d for d in elevation_devices(door, made.site, shape)}
    assert 0.0 < at["S1"].x_m < shape.width_m / 2 < at["S2"].x_m < shape.width_m
    assert at["S1"].symbol == at["S2"].symbol == "elev_exit_device"
    assert at["S1"].hidden


def test_nothing_of_a_button_on_the_wall_is_asked_of_a_bar(site_of: SiteOf) -> None:
    for release, asked in (("release-bar", False), ("release-30", True)):
        made = site_of({**BAR, "release": release})
        door = made.doors[0]
        circuit = door.wiring.circuit
        assert circuit is not None
        assert any(MANUAL_RELEASE_SIGN in note for note in door_notes(made, door)) is asked
        assert any(r.what.startswith("hold time") for r in expected_readings(circuit, AT)) is asked
        tests = " ".join(life_safety_tests(door.opening, "2021", on_wall=asked))
        assert (MANUAL_RELEASE_SIGN in tests) is asked
