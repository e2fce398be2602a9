"""Every test of a candidate fails where it should, passes where it should, and passes exactly on its limit."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from riserkit.wiring.arrangement import Choice
from riserkit.wiring.choose.judge import solve_side_by_side
from riserkit.wiring.choose.reasons import solved_reasons
from riserkit.wiring.reason import Reason
from riserkit.wiring.values import DoorVoltages

# test, arrangement, what differs from the opening that the arrangement serves: failing, passing
BY_PART = (
    ("peripherals", "direct", {"contact": "contact-reed"}, {}),
    ("peripherals", "direct-with-peripherals", {"contact": "", "rex": ""}, {"contact": ""}),
    ("own-supply", "direct", {"lock": "exit-device-motor"}, {}),
    ("own-supply", "relay-module", {"lock": "exit-device-motor"}, {}),
    ("own-supply", "relay-external-supply", {"lock": "exit-device-motor"}, {}),
    ("own-supply", "dry-trigger", {"lock": "strike-24-secure"}, {}),
    ("exposed-wires", "direct", {"lock_wiring_secured": True}, {"lock_wiring_secured": True, "controller_at": "secured"}),
    ("exposed-wires", "relay-by-voltage", {"lock_wiring_secured": True}, {}),
    ("exposed-wires", "relay-external-supply", {"lock_wiring_secured": True, "relay": "relay-volt"},
     {"lock_wiring_secured": True}),
    ("exposed-wires", "splitter-magnet", {"lock_wiring_secured": True},
     {"lock_wiring_secured": True, "controller_at": "secured"}),
    ("exposed-wires", "relay-module", {"lock": "strike-12-safe", "lock_wiring_secured": True},
     {"lock": "strike-12-safe", "lock_wiring_secured": True, "controller_at": "secured"}),
    ("exposed-wires", "dry-trigger", {"lock_wiring_secured": True, "relay": "relay-volt"}, {"relay": "relay-volt"}),
    ("exposed-wires", "controller-contact", {"lock_wiring_secured": True},
     {"lock_wiring_secured": True, "controller_at": "secured"}),
    ("lock-output", "direct", {"controller": "controller-dry"}, {}),
    ("lock-output", "direct-with-peripherals", {"controller": "controller-dry"}, {}),
    ("lock-output", "relay-by-voltage", {"controller": "controller-dry"}, {}),
    ("lock-output", "controller-contact", {"controller": "controller-box"}, {}),
    ("own-supply", "controller-contact", {"lock": "exit-device-motor"}, {}),
    ("supply", "controller-contact", {"supply": "S12"}, {}),
    ("conductors", "controller-contact", {"lock_cable": "one"}, {}),
    ("conductors", "direct", {"lock_cable": "one"}, {}),
    ("conductors", "relay-module", {"lock_cable": "one"}, {}),
    ("conductors", "splitter-magnet", {"lock_cable": "one"}, {}),
    ("conductors", "direct-with-peripherals", {"rex_cable": "22-2"}, {"rex_cable": "22-6"}),
    ("conductors", "direct-with-peripherals", {"contact_cable": "one"}, {}),
    ("conductors", "direct-with-peripherals", {"rex": "", "rex_aux_input": "auxiliary", "rex_cable": "one"},
     {"rex": "", "rex_aux_input": "auxiliary", "rex_cable": "22-2"}),
    ("release-in-series", "relay-module", {"release": "release-30"}, {"lock": "magnet-12-300", "release": "release-30"}),
    ("source-voltage", "direct", {"lock": "strike-24-secure"}, {}),
    ("source-voltage", "relay-module", {"lock": "strike-24-secure"}, {}),
    ("source-voltage", "splitter-magnet", {"lock": "magnet-24-600"}, {}),
    ("relay", "relay-module", {"relay": "relay-volt"}, {"relay": "relay-auth"}),
    ("relay", "relay-by-voltage", {"relay": "relay-auth"}, {"relay": ""}),
    ("module-link", "relay-module", {"controller": "no-link"}, {}),
    ("supply", "relay-external-supply", {"supply": "S12"}, {}),
    ("magnet", "splitter-magnet", {"lock": "strike-12-safe"}, {}),
    ("release", "splitter-magnet", {"egress": "none"}, {"egress": "none", "release": "release-30"}),
    ("second-input", "direct-with-peripherals", {"rex_aux_input": "auxiliary"}, None),
    ("reader-bus", "direct-with-peripherals", {"reader_out": "reader-out", "controller": "controller-c3"},
     {"reader_out": "reader-out"}),
)  # fmt: skip
TABLES = {
    "cable_types": [{"id": "one", "kind": "control", "conductors": 1, "gauge": "18 AWG"}],
    "parts": [
        {"id": "no-link", "kind": "controller", "poe_class": 4, "own_w": 4, "output_v": 12, "output_limit_a": 0.6,
         "module_link": False},
    ],
    "supplies": [{"id": "S12", "part": "supply-12-3", "opening": "101"}],
}  # fmt: skip


def screened(doors: Any, name: str, change: dict[str, Any], test: str) -> list[Reason]:
    need = doors.need(
        {**doors.served[name], **change}, **{**TABLES, "supplies": TABLES["supplies"] if "supply" in change else []}
    )
    return [r for r in doors.arrangement(name).screen(need) if r.name == test]


@pytest.mark.parametrize(("test", "name", "failing", "passing"), BY_PART)
def test_screens(doors: Any, test: str, name: str, failing: dict[str, Any], passing: dict[str, Any] | None) -> None:
    assert False in [r.passed for r in screened(doors, name, failing, test)]
    if passing is not None:
        found = screened(doors, name, passing, test)
        assert found
        assert all(r.passed for r in found)


@pytest.mark.parametrize("name", ["direct", "relay-module", "relay-by-voltage", "splitter-magnet"])
@pytest.mark.parametrize(("on_ups", "passed"), [(True, True), (False, False), (None, None)])
def test_a_fail_safe_lock_on_the_poe_cable_wants_backup(doors: Any, name: str, on_ups: bool, passed: bool) -> None:
    opening = {**doors.served[name], "lock": "magnet-12-300", "release": "release-30"}
    reasons = doors.arrangement(name).screen(doors.need(opening, on_ups))
    assert [r.passed for r in reasons if r.name == "missing-backup"] == [passed]


def test_a_fail_secure_lock_wants_no_backup(doors: Any) -> None:
    reasons = doors.arrangement("direct").screen(doors.need(doors.served["direct"], False))
    assert "missing-backup" not in {r.name for r in reasons}


def test_missing_splitter(doors: Any) -> None:
    need = replace(doors.need(doors.served["splitter-magnet"]), splitter=None)
    assert [r.passed for r in doors.arrangement("splitter-magnet").screen(need) if r.name == "splitter"] == [False]


@pytest.mark.parametrize(("least_v", "passed"), [(11.4, True), (11.400001, False)])
def test_source_voltage_at_its_limit(doors: Any, least_v: float, passed: bool) -> None:
    """12 V less 5 %, against a lock that works down to exactly that."""
    part = {"id": "edge", "kind": "strike", "action": "fail-secure", "rated_v": 20, "hold_a": 0.1,
            "tolerance_low": 1 - least_v / 20, "tolerance_high": 0.1}  # fmt: skip
    need = doors.need({**doors.served["direct"], "lock": "edge"}, parts=[part])
    reason = next(r for r in doors.arrangement("direct").screen(need) if r.name == "source-voltage")
    assert (reason.passed, reason.value) == (passed, pytest.approx(11.4))


# test, arrangement, field, limit with the shipped parts, whether the value may not exceed it
NUMBERS = (
    ("lock-voltage-low", "direct", "lock_low_v", 10.2, False),
    ("lock-voltage-high", "direct", "lock_high_v", 13.2, True),
    ("lock-off", "direct", "lock_off_v", 1.8, True),
    ("output-limit", "direct", "output_a", 0.6, True),
    ("auxiliary-limit", "direct", "auxiliary_a", 0.2, True),
    ("supply-limit", "relay-external-supply", "supply_a", 4.0, True),
    ("supply-limit", "splitter-magnet", "supply_a", 1.8, True),
    ("class-power", "direct", "pd_w", 12.95, True),
    ("class-power", "splitter-magnet", "pd_w", 25.5, True),
)
SOUND = DoorVoltages(12.0, 12.0, 0.2, 0.2, 0.1, 0.2, 8.0, 0.0)


@pytest.mark.parametrize(("test", "name", "field", "limit", "at_most"), NUMBERS)
def test_numbers(doors: Any, test: str, name: str, field: str, limit: float, at_most: bool) -> None:
    """Class powers of 12.95 and 25.5 W at the device are those of IEEE 802.3; the rest are the parts' own data."""
    need, circuit = doors.need(doors.served[name]), doors.circuit(name)
    choice = Choice(need.lock_cables[0], need.supplies[0] if name == "relay-external-supply" else None)
    beyond = limit + 1e-4 if at_most else limit - 1e-4
    inside = limit - 1e-4 if at_most else limit + 1e-4
    volts = [replace(SOUND, **{field: value}) for value in (inside, limit, beyond, None)]
    found = [
        next(r for r in reasons if r.name == test)
        for reasons in solved_reasons(need, circuit, choice, volts)[: 3 if field == "lock_low_v" else 4]
    ]
    unknown = [] if field == "lock_low_v" else [None]
    assert [r.passed for r in found] == [True, True, False, *unknown]
    assert found[0].limit == pytest.approx(limit)
    assert found[0].at_most is at_most


def test_a_limit_that_nobody_states_is_not_passed(doors: Any) -> None:
    part = {"id": "vague", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.2}
    wiring = doors.choose({**doors.served["direct"], "lock": "vague"}, parts=[part])
    by_name = {r.name: r for r in wiring.chosen.reasons}
    assert by_name["lock-voltage-low"].passed is None
    assert "not evaluated" in by_name["lock-voltage-low"].text


def test_a_circuit_without_a_steady_state_is_no_choice(doors: Any) -> None:
    """A controller that asks the splitter for 800 W through 22 AWG asks for more than can reach it."""
    part = {"id": "hungry", "kind": "controller", "poe_class": 4, "own_w": 800, "output_v": 12, "output_limit_a": 0.6,
            "output_tolerance": 0.05, "auxiliary_v": 12, "auxiliary_limit_a": 0.7}  # fmt: skip
    opening = {**doors.served["splitter-magnet"], "controller": "hungry"}
    need, circuit = doors.need(opening, parts=[part]), doors.circuit("splitter-magnet", opening, parts=[part])
    volts = solve_side_by_side([need], [Choice(need.lock_cables[0])], circuit, doors.at)
    assert volts == (DoorVoltages(),)
    assert [r.passed for r in solved_reasons(need, circuit, Choice(need.lock_cables[0]), volts)[0]] == [False]


def test_a_module_of_another_voltage_never_lets_a_fail_safe_lock_go(doors: Any) -> None:
    part = {"id": "relay-48", "kind": "relay", "command": "authenticated", "coil_v": 48, "coil_a": 0.02, "contact_a": 3,
            "tolerance_low": 0.15, "tolerance_high": 0.15}  # fmt: skip
    opening = {**doors.usual, "lock": "magnet-12-300", "relay": "relay-48", "arrangement": "relay-module"}
    wiring = doors.choose(opening, parts=[part])
    assert "lock-off" in {r.name for r in wiring.chosen.failed}
    assert not wiring.chosen.feasible
