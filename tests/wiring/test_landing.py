"""What a crew reads off the netlist: names that cannot be mistaken, colours that reels carry, places where devices stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.wiring.chains import chains
from riserkit.drawings.wiring.problem import spare_ends
from riserkit.model.opening import Opening
from riserkit.model.parts import Reader
from riserkit.standards import locks
from riserkit.wiring.arrangements._shared.builder import cable_colours
from riserkit.wiring.lengths import device_heights_m, estimated_length_m
from riserkit.wiring.parts import reader
from riserkit.wiring.roles import DeviceRole
from tests.wiring.miswired_doors import VARIANTS, variant_circuits

# A class letter or two and a number (IEC 81346-2), as components here are called.
DESIGNATION = re.compile(r"[A-Z]{1,3}\d+")
MORE = {
    "direct, magnet with everything": ("direct-with-peripherals", {"lock": "magnet-12-300", "egress": "sensor-release",
                                                                   "fire_alarm_release": True}),
    "direct, magnet and exit switch": ("direct-with-peripherals", {"lock": "magnet-12-300", "rex": "rex-button",
                                                                   "egress": "hardware-release", "release": "release-30"}),
    "outside supply, sensor fed by it": ("relay-external-supply", {"lock": "magnet-12-600", "fire_alarm_release": True}),
    "relay module, magnet with sensor": ("relay-module", {"lock": "magnet-12-300", "egress": "sensor-release"}),
}  # fmt: skip


@pytest.fixture(scope="module")
def netlists(doors: Any) -> dict[str, Netlist]:
    """A netlist of every arrangement and variant."""
    found = {name: circuit.netlist for name, circuit in variant_circuits(doors)}
    for name, (arrangement, differs) in MORE.items():
        found[name] = doors.circuit(arrangement, {**doors.served[arrangement], **differs}).netlist
    return found


def _every(netlists: dict[str, Netlist]) -> Iterator[tuple[str, Netlist]]:
    assert len(netlists) == len(VARIANTS) + len(MORE)
    yield from netlists.items()


def test_no_terminal_can_be_taken_for_a_device(netlists: dict[str, Netlist]) -> None:
    for name, netlist in _every(netlists):
        refs = {c.ref for c in netlist.components}
        for component in netlist.components:
            for terminal in component.terminals:
                assert terminal.name not in refs, name
                assert not DESIGNATION.fullmatch(terminal.name), f"{name}: {component.ref} {terminal.name}"


def test_every_cable_has_two_ends_and_parts_only_in_a_box(netlists: dict[str, Netlist]) -> None:
    for name, netlist in _every(netlists):
        refs = {c.ref for c in netlist.components}
        for component in netlist.components:
            assert component.inside == "" or component.inside in refs - {component.ref}, name
        for cable in netlist.cables:
            assert len(netlist.places(cable.ref)) == 2, f"{name}: {cable.ref} {cable.role} {netlist.places(cable.ref)}"


def test_spares_are_shown_at_both_ends_of_their_cable(netlists: dict[str, Netlist]) -> None:
    for name, netlist in _every(netlists):
        shown = spare_ends(netlist)
        for cable in {spare.cable for spare in netlist.spares}:
            at = {netlist.component(ref).inside or ref for held, ref in shown if held == cable}
            assert at == set(netlist.places(cable)), name


def test_plus_is_never_black_by_default(netlists: dict[str, Netlist]) -> None:
    """Red for plus, black for minus (common practice, no source); the second wire to a contact says that it is plus."""
    seen = 0
    for name, netlist in _every(netlists):
        signs = {f"{c.ref}.{t.name}": t.polarity for c in netlist.components for t in c.terminals}
        for conductor in netlist.conductors:
            ends = {signs[str(conductor.a)], signs[str(conductor.b)]}
            if "+" in ends and conductor.cable:
                assert conductor.colour != "BK" or "plus" in conductor.note, f"{name}: {conductor}"
                seen += 1
            if "-" in ends and conductor.cable:
                assert conductor.colour != "RD", f"{name}: {conductor}"
    assert seen > 2 * len(netlists)


def test_a_lock_s_own_pair_is_red_and_black(netlists: dict[str, Netlist]) -> None:
    for name, netlist in _every(netlists):
        for lock in netlist.devices(DeviceRole.LOCK):
            landed = {c.colour for c in netlist.conductors if c.cable and lock.ref in (c.a.component, c.b.component)}
            assert landed == {"RD", "BK"}, name


def test_a_type_that_states_its_colours_has_them_used_in_its_order(doors: Any) -> None:
    bought = {"id": "odd", "kind": "control", "conductors": 2, "gauge": "18 AWG", "colours": "BK RD"}
    netlist = doors.circuit("direct", {**doors.served["direct"], "lock_cable": "odd"}, cable_types=[bought]).netlist
    assert [c.colour for c in netlist.conductors if c.cable == "W2"] == ["BK", "RD"]


@pytest.mark.parametrize(("cable", "colours"), [
    ("18-2", "RD BK"), ("22-4", "RD BK WH GN"), ("22-6", "RD BK WH GN BN BU"),
])  # fmt: skip
def test_colours_are_those_of_reels(doors: Any, cable: str, colours: str) -> None:
    """Common practice, no source."""
    assert " ".join(cable_colours(doors.site(doors.strike).cable_type[cable])) == colours


def test_a_contact_is_drawn_as_its_terminals_are_named(netlists: dict[str, Netlist]) -> None:
    """NO is a make contact, NC a break contact (EN 50005 numbers: 11-12 opens, 23-24 closes)."""
    closed = {"NO": False, "2NO": False, "23": False, "NC": True, "2NC": True, "11": True}
    seen: set[str] = set()
    for name, netlist in _every(netlists):
        for component in netlist.components:
            for chain in chains(component):
                named = closed.keys() & {chain.a, chain.b}
                for end in named:
                    assert [link.normally_closed for link in chain.links] == [closed[end]], (
                        f"{name}: {component.ref} {end}"
                    )
                seen |= named
    assert seen == closed.keys() - {"2NO"}


@pytest.mark.parametrize(
    ("lock", "arrangement"), [("latch-24", "relay-external-supply"), ("exit-device-motor", "dry-trigger")]
)
@pytest.mark.parametrize("leaves", [1, 2])
def test_a_lock_in_the_leaf_is_fed_over_the_hinges(doors: Any, lock: str, arrangement: str, leaves: int) -> None:
    stated = {**doors.usual, "lock": lock, "lock_count": leaves, "type": "double" if leaves == 2 else "single"}
    netlist = doors.circuit(arrangement, stated).netlist
    hinges = netlist.devices(DeviceRole.POWER_TRANSFER)
    assert [c.part for c in hinges] == ["hinge-transfer"] * leaves
    for lock_at, hinge in zip(netlist.devices(DeviceRole.LOCK), hinges, strict=True):
        cables = {c.cable for c in netlist.conductors if c.cable and lock_at.ref in (c.a.component, c.b.component)}
        assert [netlist.places(cable) for cable in cables] == [(lock_at.ref, hinge.ref)]
        assert {netlist.cable(cable).role for cable in cables} == {"leaf"}


def test_a_lock_in_the_frame_has_no_hinge_transfer(doors: Any) -> None:
    assert not doors.circuit("direct-with-peripherals").netlist.devices(DeviceRole.POWER_TRANSFER)


@pytest.mark.parametrize("title", ["", "Reader", "Reader, exit side", "Wall reader, entry side"])
def test_a_reader_is_called_after_the_side_it_stands_on(title: str) -> None:
    part = Reader(id="r", kind="reader", title=title)
    assert reader(part, "B5", outside=True).title.endswith("eader, entry side")
    assert reader(part, "B3", outside=False).title.endswith("eader, exit side")
    assert "side" not in reader(part, "B3", outside=False).title.removesuffix(", exit side")


def test_an_exit_switch_stands_beside_the_door_and_a_sensor_above_it(doors: Any) -> None:
    """A switch is pressed by hand at 40 to 48 in (common practice, no source; a release's limits are IBC's, 1010.2.12)."""
    site = doors.site(doors.strike)
    opening = Opening.model_validate({"mark": "1", "level": "L1", "x_m": 0, "y_m": 0})
    places = {}
    for part_id in ("rex-button", "rex-motion"):
        rex = site.part[part_id]
        height_m = device_heights_m(opening, lock_at_head=False, rex=rex)["rex"]
        component = doors.circuit("direct-with-peripherals", {**doors.strike, "rex": part_id}).netlist.component("B2")
        length_m = estimated_length_m(opening, "rex", 3.0, lock_at_head=False, rex=rex)
        places[part_id] = height_m, component.place, length_m
    (switch_m, switch_at, switch_cable_m), (sensor_m, sensor_at, sensor_cable_m) = places.values()
    assert 40 * 0.0254 <= switch_m <= 48 * 0.0254
    assert "beside the door" in switch_at
    assert sensor_m > opening.height_m
    assert sensor_at == locks.DEVICE_PLACES["rex-sensor"].where
    assert switch_cable_m - sensor_cable_m == pytest.approx(sensor_m - switch_m, abs=0.01)


def test_a_stated_height_moves_an_exit_switch_and_its_cable(doors: Any) -> None:
    rex = doors.site(doors.strike).part["rex-button"]
    lengths = []
    for height_m in (1.05, 1.2):
        opening = Opening.model_validate({"mark": "1", "level": "L1", "x_m": 0, "y_m": 0, "rex_height_m": height_m})
        assert device_heights_m(opening, lock_at_head=False, rex=rex)["rex"] == height_m
        lengths.append(estimated_length_m(opening, "rex", 3.0, lock_at_head=False, rex=rex))
    assert lengths[0] - lengths[1] == pytest.approx(0.15)
