"""Which candidate is chosen, what is said of the others, and that openings side by side do not change each other."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.choose.choose import choose

CHOICES = (
    ("direct", {"contact": "", "rex": ""}),
    ("direct-with-peripherals", {}),
    ("relay-module", {"lock_wiring_secured": True}),
    ("relay-external-supply", {"lock": "strike-24-secure"}),
    ("dry-trigger", {"lock": "exit-device-motor"}),
    ("splitter-magnet", {"lock": "magnet-12-300", "egress": "sensor-release", "controller": "controller-c3",
                         "lock_count": 2}),
    # A short across the controller's feed, within reach, would take the splitter down.
    ("relay-external-supply", {"lock": "magnet-12-600", "egress": "sensor-release", "controller": "controller-c3",
                               "lock_wiring_secured": True}),
)  # fmt: skip


@pytest.mark.parametrize(("name", "change"), CHOICES)
def test_the_first_that_holds_is_chosen(doors: Any, name: str, change: dict[str, Any]) -> None:
    wiring = doors.choose({**doors.strike, **change})
    assert wiring.chosen is not None
    assert wiring.chosen.arrangement == name
    assert wiring.chosen.feasible
    assert wiring.nearest is None


def test_candidates_come_in_order_of_cost_and_the_first_feasible_is_chosen(doors: Any) -> None:
    wiring = doors.choose(doors.strike, everything=True)
    solved = [c for c in wiring.considered if c.voltages is not None]
    assert [c.cost for c in solved] == sorted(c.cost for c in solved)
    assert wiring.chosen == next(c for c in solved if c.feasible)
    assert {c.arrangement for c in wiring.considered} == {a.name for a in SHIPPED_ARRANGEMENTS}


def test_explaining_everything_tries_every_size_and_supply(doors: Any) -> None:
    supplies = [
        {"id": "S1", "part": "supply-12-3", "opening": "101"},
        {"id": "S2", "part": "supply-12-3", "opening": "101"},
    ]
    wiring = doors.choose(doors.strike, everything=True, supplies=supplies)
    outside = [c for c in wiring.considered if c.arrangement == "relay-external-supply"]
    assert len(outside) == 2 * 4
    assert {c.lock_cable for c in outside} == {"18-2", "16-2", "14-2", "12-2"}
    assert {c.supply_id for c in outside} == {"S1", "S2"}


def test_a_thicker_cable_is_taken_only_as_far_as_needed(doors: Any) -> None:
    run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": 130.0}
    wiring = doors.choose(doors.strike, runs=[run])
    tried = [c for c in wiring.considered if c.arrangement == "direct-with-peripherals"]
    assert [c.lock_cable for c in tried] == ["18-2", "16-2"]
    assert [r.name for r in tried[0].failed] == ["lock-voltage-low"]
    assert wiring.chosen == tried[1]


def test_copper_is_not_tried_against_what_it_cannot_mend(doors: Any) -> None:
    opening = {**doors.strike, "lock": "strike-12-heavy", "lock_count": 2, "type": "double"}
    tried = [c for c in doors.choose(opening).considered if c.arrangement == "direct-with-peripherals"]
    assert [c.lock_cable for c in tried] == ["18-2"]
    assert "output-limit" in {r.name for r in tried[0].failed}
    everything = doors.choose(opening, everything=True).considered
    assert len([c for c in everything if c.arrangement == "direct-with-peripherals"]) == 4


def test_a_forced_arrangement_is_taken_before_a_cheaper_one(doors: Any) -> None:
    wiring = doors.choose({**doors.strike, "arrangement": "relay-module"})
    assert wiring.forced
    assert wiring.chosen.arrangement == "relay-module"
    assert {c.arrangement for c in wiring.considered if c.voltages} == {"relay-module"}


def test_a_forced_arrangement_that_fails_stands_and_is_not_feasible(doors: Any) -> None:
    opening = {**doors.strike, "lock": "strike-12-heavy", "lock_count": 2, "arrangement": "direct-with-peripherals"}
    wiring = doors.choose({**opening, "type": "double"})
    assert wiring.chosen.arrangement == "direct-with-peripherals"
    assert {r.name for r in wiring.chosen.failed} == {"output-limit"}
    assert wiring.circuit is not None


@pytest.mark.parametrize(("change", "test"), [
    ({"arrangement": "relay-by-voltage", "lock_wiring_secured": True}, "exposed-wires"),
    ({"arrangement": "direct-with-peripherals", "lock": "strike-24-secure"}, "source-voltage"),
    ({"arrangement": "direct-with-peripherals", "fail_mode": "fail-safe"}, "lock-action"),
])  # fmt: skip
def test_what_is_unwise_can_be_forced_and_drawn(doors: Any, change: dict[str, Any], test: str) -> None:
    wiring = doors.choose({**doors.strike, **change})
    assert wiring.chosen.arrangement == change["arrangement"]
    assert test in {r.name for r in wiring.chosen.failed}
    assert wiring.netlist is not None


def test_a_forced_arrangement_without_its_parts_is_the_nearest_miss_and_no_other(doors: Any) -> None:
    wiring = doors.choose({**doors.strike, "arrangement": "splitter-magnet"})
    assert wiring.chosen is None
    assert wiring.nearest.arrangement == "splitter-magnet"
    assert wiring.circuit is None


def test_an_arrangement_that_nobody_knows_is_missing_data(doors: Any) -> None:
    wiring = doors.choose({**doors.strike, "arrangement": "by-magic"})
    (missing,) = wiring.missing
    assert missing.startswith(
        "an arrangement of the name 'by-magic' (known: controller-contact, direct, direct-with-peripherals, "
    )
    assert wiring.chosen is None


def test_nothing_feasible_names_the_nearest_miss_and_draws_it(doors: Any) -> None:
    """Two heavy strikes: 1.0 A is beyond output and auxiliary, and a charged 12 V battery is 3.8 % over 13.2 V."""
    wiring = doors.choose({**doors.strike, "lock": "strike-12-heavy", "lock_count": 2, "type": "double"})
    assert wiring.chosen is None
    assert wiring.nearest.arrangement == "relay-external-supply"
    assert [r.name for r in wiring.nearest.failed] == ["lock-voltage-high"]
    assert wiring.voltages == wiring.nearest.voltages
    assert wiring.circuit is not None


def test_when_everything_is_screened_out_the_buildable_one_is_the_nearest(doors: Any) -> None:
    """A 24 V strike that is to hang on a 12 V supply: no source is high enough, and the circuit is drawn all the same."""
    supply = {"id": "S", "part": "supply-12-3", "opening": "101"}
    wiring = doors.choose({**doors.strike, "lock": "strike-24-secure", "supply": "S"}, supplies=[supply])
    assert wiring.chosen is None
    assert wiring.nearest.voltages is not None
    assert "source-voltage" in {r.name for r in wiring.nearest.failed}
    assert wiring.netlist is not None


@pytest.mark.parametrize(("change", "missing"), [
    ({"lock": ""}, ("lock",)),
    ({"controller": ""}, ("controller",)),
    ({"lock": "unknown"}, ("lock.hold_a", "fail_mode")),
    ({"controller": "blank"}, ("controller.output_v", "controller.output_limit_a")),
])  # fmt: skip
def test_missing_data_is_named_and_nothing_is_chosen(
    doors: Any, change: dict[str, Any], missing: tuple[str, ...]
) -> None:
    parts = [{"id": "unknown", "kind": "strike", "rated_v": 12}, {"id": "blank", "kind": "controller"}]
    wiring = doors.choose({**doors.strike, **change}, parts=parts)
    assert (wiring.missing, wiring.chosen, wiring.circuit) == (missing, None, None)


def test_the_sites_supply_is_named_and_comes_before_a_new_one(doors: Any) -> None:
    supply = {"id": "PS", "part": "supply-24-4", "opening": "101"}
    opening = {**doors.strike, "lock": "strike-24-secure"}
    there, added = doors.choose(opening, supplies=[supply]).chosen, doors.choose(opening).chosen
    assert (there.supply_id, there.supply_at, added.supply_id, added.supply_at) == (
        "PS",
        "door",
        "",
        "door, to be added",
    )
    assert added.cost - there.cost == pytest.approx(6.0)


@pytest.mark.slow
def test_doors_side_by_side_are_judged_as_each_alone(doors: Any) -> None:
    """Sixty doors of four kinds with cables of all lengths, in one batch and one by one."""
    kinds = (doors.strike, doors.magnet, {**doors.strike, "lock": "strike-24-secure"}, doors.served["dry-trigger"])
    openings = [{**kinds[k % 4], "mark": f"D{k}"} for k in range(60)]
    runs = [
        {"id": f"L{k}", "from_end": f"D{k}/controller", "to_end": f"D{k}/lock", "length_m": 5.0 + 3.7 * k}
        for k in range(60)
    ]
    needs = [replace(need, on_ups=True) for need in doors.needs(doors.site(*openings, runs=runs))]
    together = choose(needs, SHIPPED_ARRANGEMENTS, doors.at)
    for need, wiring in zip(needs, together, strict=True):
        alone = choose([need], SHIPPED_ARRANGEMENTS, doors.at)[0]
        assert (wiring.mark, wiring.chosen is None) == (need.opening.mark, alone.chosen is None)
        assert [(c.arrangement, c.lock_cable, c.supply_at) for c in wiring.considered] == [
            (c.arrangement, c.lock_cable, c.supply_at) for c in alone.considered
        ]
        assert wiring.voltages.lock_low_v == pytest.approx(alone.voltages.lock_low_v, rel=1e-9)
    assert len({w.chosen.lock_cable for w in together if w.chosen}) > 1


def test_the_chosen_circuit_has_the_doors_own_lengths(doors: Any) -> None:
    runs = [
        {"id": f"L{k}", "from_end": f"{k}/controller", "to_end": f"{k}/lock", "length_m": length_m}
        for k, length_m in (("101", 11.0), ("102", 22.0))
    ]
    wirings = choose(doors.needs(doors.site(doors.strike, doors.strike, runs=runs)), SHIPPED_ARRANGEMENTS, doors.at)
    assert [next(c.length_m for c in w.netlist.cables if c.role == "lock") for w in wirings] == [11.0, 22.0]
