"""What a door's need reads off the site: cables stated, measured or estimated, supplies and the way from them."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.model.cabling import LengthBasis
from riserkit.network.values import CableRun, Route
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.needs import NeedReader

FAR_M = 130.0


def lock_run(**change: Any) -> dict[str, Any]:
    return {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": FAR_M, **change}


def lock_cable(wiring: Any, role: str = "lock") -> Any:
    return next(c for c in wiring.netlist.cables if c.role == role)


def test_a_cable_that_is_pulled_is_never_offered_thicker(doors: Any) -> None:
    """At 130 m an 18 AWG cable is too thin; one still to be bought may be thicker, one in the wall may not."""
    pulled = lock_run(basis="measured", cable_type="18-2")
    forced = {**doors.strike, "arrangement": "direct-with-peripherals"}
    stated = doors.choose(forced, runs=[lock_run(basis="stated", cable_type="18-2")])
    assert (stated.chosen.feasible, stated.chosen.lock_cable) == (True, "16-2")
    measured = doors.choose(forced, everything=True, runs=[pulled])
    assert {c.lock_cable for c in measured.considered} == {"18-2"}
    assert [r.name for r in measured.chosen.failed] == ["lock-voltage-low"]
    assert (lock_cable(measured).cable_type, lock_cable(measured).length_m, lock_cable(measured).length_basis) == (
        "18-2", FAR_M, "measured",
    )  # fmt: skip


def test_a_measured_length_without_a_type_leaves_the_type_open(doors: Any) -> None:
    assert doors.choose(doors.strike, runs=[lock_run(basis="measured")]).chosen.lock_cable == "16-2"


def test_a_pulled_and_an_unpulled_door_side_by_side_do_not_share_their_cables(doors: Any) -> None:
    runs = [
        lock_run(basis="measured", cable_type="18-2"),
        lock_run(id="M", from_end="102/controller", to_end="102/lock", basis="stated", cable_type="18-2"),
    ]
    needs = doors.needs(doors.site(doors.strike, doors.strike, runs=runs))
    pulled, free = choose(needs, SHIPPED_ARRANGEMENTS, doors.at)
    assert {c.lock_cable for c in pulled.considered} == {"18-2"}
    assert free.chosen.lock_cable == "16-2"


def test_a_measured_run_stands_before_a_stated_one(doors: Any) -> None:
    runs = [lock_run(length_m=20.0, basis="measured"), lock_run(id="M", length_m=30.0)]
    for order in (runs, runs[::-1]):
        assert lock_cable(doors.choose(doors.strike, runs=order)).length_m == 20.0


def test_a_measured_run_keeps_the_type_that_only_the_stated_one_names(doors: Any) -> None:
    runs = [lock_run(length_m=20.0, basis="measured"), lock_run(id="M", length_m=30.0, cable_type="16-2")]
    for order in (runs, runs[::-1]):
        cable = lock_cable(doors.choose(doors.strike, runs=order))
        assert (cable.length_m, cable.cable_type) == (20.0, "16-2")


def test_a_run_from_relay_to_lock_is_the_locks_cable_alone(doors: Any) -> None:
    run = lock_run(from_end="101/relay", length_m=17.0)
    cables = doors.needs(doors.site(doors.strike, runs=[run]))[0].cables
    assert (cables["lock"].length_m, cables["relay"].basis) == (17.0, "estimated")


def test_a_run_with_a_type_and_no_length_is_estimated_with_that_type(doors: Any) -> None:
    run = {name: value for name, value in lock_run(cable_type="16-2").items() if name != "length_m"}
    cable = lock_cable(doors.choose(doors.strike, runs=[run]))
    assert (cable.cable_type, cable.length_basis) == ("16-2", "estimated")
    assert cable.length_m == lock_cable(doors.choose(doors.strike)).length_m


def test_the_second_leafs_lock_has_a_run_of_its_own(doors: Any) -> None:
    runs = [lock_run(length_m=10.0), lock_run(id="M", to_end="101/lock2", length_m=40.0)]
    wiring = doors.choose({**doors.strike, "lock_count": 2, "type": "double"}, runs=runs)
    lengths = [c.length_m for c in wiring.netlist.cables if c.role == "lock"]
    assert lengths == [10.0, 40.0]
    # The far leaf decides: as one leaf with both currents' source drop neglected.
    far = doors.choose(doors.strike, runs=[lock_run(length_m=40.0)]).voltages.lock_low_v
    assert wiring.voltages.lock_low_v == pytest.approx(far, abs=0.05)
    assert wiring.voltages.lock_low_v < far


def test_a_pulled_feed_keeps_its_type_while_the_lock_cable_grows(doors: Any) -> None:
    runs = [
        lock_run(length_m=300.0),
        {
            "id": "F",
            "from_end": "PS",
            "to_end": "101/supply",
            "length_m": 30,
            "basis": "measured",
            "cable_type": "18-4",
        },
    ]
    supply = {"id": "PS", "part": "supply-24-4", "closet": "C1"}
    wiring = doors.choose({**doors.strike, "lock": "strike-24-secure", "supply": "PS"}, runs=runs, supplies=[supply])
    feed = lock_cable(wiring, "feed")
    assert (feed.cable_type, feed.length_m, feed.length_basis) == ("18-4", 30.0, "measured")
    assert lock_cable(wiring).cable_type in {"18-2", "16-2", "14-2", "12-2"}
    assert len([s for s in wiring.netlist.spares if s.cable == feed.ref]) == 2


def offers(doors: Any, supply: dict[str, Any], route: Any = None, **tables: Any) -> Any:
    site = doors.site({**doors.strike, "lock": "strike-24-secure", "supply": "PS"}, supplies=[supply], **tables)
    cable = CableRun("101", "horizontal", "C1", "101", "cat6", "x", Route("C1", "101", 60.0, LengthBasis.ROUTED))
    return NeedReader(site, route).need(site.opening["101"], None, cable, "").supplies


def test_a_supply_in_another_closet_is_as_far_as_its_own_way(doors: Any) -> None:
    supply = {"id": "PS", "part": "supply-24-4", "closet": "C2"}
    way = Route("C2", "101", 25.0, LengthBasis.ROUTED)
    asked = []

    def route(closet: str, mark: str) -> Route:
        asked.append((closet, mark))
        return way

    (offer,) = offers(doors, supply, route)
    assert (offer.closet, offer.cable.length_m, offer.cable.basis) == ("C2", 25.0, "routed")
    assert asked == [("C2", "101")]


def test_a_supplys_own_run_stands_before_the_way_of_the_poe_cable(doors: Any) -> None:
    supply = {"id": "PS", "part": "supply-24-4", "closet": "C1"}
    run = {"id": "F", "from_end": "C1", "to_end": "101/supply", "length_m": 33, "basis": "stated"}
    (offer,) = offers(doors, supply, runs=[run])
    assert (offer.cable.length_m, offer.cable.basis) == (33.0, "stated")


def test_a_supply_of_another_voltage_is_no_offer(doors: Any) -> None:
    assert offers(doors, {"id": "PS", "part": "supply-12-3", "opening": "101"}) == ()


def test_suppression_follows_the_lock(doors: Any) -> None:
    """A plain diode at a strike, a suppressor at a magnet: common practice, no source."""
    assert doors.need(doors.strike).suppressor.kind == "diode"
    assert doors.need(doors.magnet).suppressor.kind == "varistor"
    assert doors.need({**doors.magnet, "suppressor": "diode-1a"}).suppressor.kind == "diode"


def test_sensor_release_takes_the_sites_manual_release(doors: Any) -> None:
    """IBC 2021 1010.2.12 item 4: a manual device that directly interrupts power to the lock."""
    assert doors.need(doors.magnet).release.id == "release-30"
    assert doors.need({**doors.magnet, "egress": "mechanical"}).release is None


def test_estimates_are_those_of_the_door_itself(doors: Any) -> None:
    """A door of another height or with other cable shares no estimate with its neighbour."""
    low, tall, thick = doors.needs(
        doors.site(doors.strike, {**doors.strike, "height_m": 2.9}, {**doors.strike, "lock_cable": "14-2"})
    )
    assert tall.cables["rex"].length_m != low.cables["rex"].length_m
    assert (low.cables["lock"].cable_type.id, thick.cables["lock"].cable_type.id) == ("18-2", "14-2")
    assert low.cables["lock"].length_m == thick.cables["lock"].length_m
