"""A controller whose lock output is a dry contact: its terminals, the loop it switches, and what is refused.

Common practice, no source, unless a line says otherwise.
"""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.circuits.solve import solve
from riserkit.model.catalogue import PARTS
from riserkit.model.parts import Controller
from riserkit.model.problems import InputError
from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice
from riserkit.wiring.choose.judge import solve_side_by_side
from riserkit.wiring.readings.expected import expected_readings
from tests.wiring.miswired_doors import VARIANTS, judge_miswirings

SHIPPED = {part.id: part for part in PARTS}
DRY = SHIPPED["controller-dry"]
# 18 AWG stranded by NEC 2023 chapter 9 table 8, uncoated, 75 °C: 26.1 ohm per km (verified in riserkit.standards.copper);
# IACS copper's coefficient at 20 °C (NBS Handbook 100) brings it to another temperature.
AWG18_75C_OHM_PER_M = 26.1e-3
ALPHA_20C = 0.00393
STRIKE_24 = {"lock": "strike-24-secure", "egress": "mechanical"}


def dry(**values: Any) -> dict[str, Any]:
    """The shipped controller with a dry output, under another id and with other values."""
    return {**DRY.model_dump(mode="json", exclude_none=True), "id": "dry-x", **values}


def opening(doors: Any, **more: Any) -> dict[str, Any]:
    return {**doors.usual, "controller": "controller-dry", **STRIKE_24, **more}


@pytest.mark.parametrize(("part_id", "there", "missing"), [
    ("controller-dry", {"C", "NO", "NC"}, {"L+", "L-"}), ("controller-c4", {"L+", "L-"}, {"C", "NO", "NC"}),
])  # fmt: skip
def test_the_terminals_are_those_of_the_kind(part_id: str, there: set[str], missing: set[str]) -> None:
    part = SHIPPED[part_id]
    assert isinstance(part, Controller)
    names = {t.name for t in parts.controller(part, outside=False).terminals}
    assert there <= names
    assert not missing & names


@pytest.mark.parametrize(("values", "named"), [
    ({"output_v": 12.0}, "output_v"), ({"output_limit_a": 0.6}, "output_limit_a"),
    ({"output_kind": "powered"}, "contact_a or contact_v"),
])  # fmt: skip
def test_values_of_the_other_kind_are_refused_by_name(doors: Any, values: dict[str, Any], named: str) -> None:
    with pytest.raises(InputError, match=f"expected no {named} with output_kind"):
        doors.site(opening(doors, controller="dry-x"), parts=[dry(**values)])


def test_needs_follow_the_kind() -> None:
    part = Controller(id="x", kind="controller", output_kind="dry")
    assert {"contact_a", "contact_v"} <= set(part.lacks())
    assert not {"output_v", "output_limit_a"} & {*part.lacks(), *part.lacks_for_circuit()}
    powered = Controller(id="x", kind="controller")
    assert {"output_v", "output_limit_a"} <= set(powered.lacks())
    assert not {"contact_a", "contact_v"} & set(powered.lacks())
    assert "output_v" in powered.lacks_for_circuit()


@pytest.mark.parametrize(("state", "closed"), [
    ({}, "nc"), ({"K1.output": True}, "no"), ({"K1.output": True, "N1.power_lost": True}, "nc"),
    ({"N1.power_lost": True}, "nc"),
])  # fmt: skip
def test_the_contact_moves_with_the_command_and_falls_back_without_power(
    doors: Any, state: dict[str, bool], closed: str
) -> None:
    solution = solve(doors.circuit("controller-contact").netlist, state)
    stands = {name: bool(solution.closed(f"K1.{name}")[0]) for name in ("no", "nc")}
    assert stands == {"no": closed == "no", "nc": closed == "nc"}


@pytest.mark.parametrize(("source_v", "temp_c", "end"), [(21.6, 40.0, "lock_low_v"), (27.4, 10.0, "lock_high_v")])
def test_the_loop_by_hand(doors: Any, source_v: float, temp_c: float, end: str) -> None:
    """Supply 20 m away, contact 6 m from the junction box, lock 9 m: 70 m of 18 AWG, and a coil of 24 V / 0.15 A."""
    runs = [
        {"id": "S", "from_end": "C1", "to_end": "101/supply", "length_m": 20.0},
        {"id": "B", "from_end": "101/controller", "to_end": "101/box", "length_m": 6.0},
        {"id": "L", "from_end": "101/box", "to_end": "101/lock", "length_m": 9.0},
    ]
    supplies = [{"id": "PS", "part": "supply-24-4", "closet": "C1"}]
    stated = opening(doors, supply="PS", rex="", contact="")
    need = doors.need(stated, runs=runs, supplies=supplies)
    circuit = doors.circuit("controller-contact", stated, runs=runs, supplies=supplies)
    volts = solve_side_by_side([need], [Choice(need.lock_cables[0], need.supplies[0])], circuit, doors.at)[0]
    ohm_20c = AWG18_75C_OHM_PER_M / (1 + ALPHA_20C * 55.0)
    copper_ohm = 2 * (20.0 + 6.0 + 9.0) * ohm_20c * (1 + ALPHA_20C * (temp_c - 20.0))
    coil_ohm = 24.0 / 0.15
    # The supply's own 0.02 ohm, mains and battery feeds of 0.05 ohm in parallel, the contact's 0.05 ohm.
    series_ohm = 0.02 + 0.025 + 0.05 + copper_ohm
    assert getattr(volts, end) == pytest.approx(source_v * coil_ohm / (coil_ohm + series_ohm), rel=2e-4)
    assert volts.output_a is None
    assert volts.pd_w == pytest.approx(3.0, abs=0.05), "the lock's power does not come over the PoE cable"


def test_the_contact_s_own_resistance_counts(doors: Any) -> None:
    stated = opening(doors, controller="dry-x")
    low_v = [doors.choose(stated, parts=[dry(contact_ohm=ohm)]).voltages.lock_low_v for ohm in (0.05, 5.0)]
    # 160 ohm of coil: 5 ohm more in series take about 3 %
    assert low_v[0] - low_v[1] == pytest.approx(21.6 * 4.95 / 165.0, rel=0.1)


def test_a_dry_output_needs_no_relay_module_and_a_powered_one_needs_one(doors: Any) -> None:
    assert doors.choose(opening(doors)).chosen.arrangement == "controller-contact"
    assert doors.choose(opening(doors, controller="controller-box")).chosen.arrangement == "relay-external-supply"


def test_with_a_link_a_module_keeps_a_dry_output_s_wires_off_the_unsecured_side(doors: Any) -> None:
    stated = opening(doors, controller="controller-dry-reader", lock_wiring_secured=True)
    assert doors.choose(stated).chosen.arrangement == "relay-external-supply"


def test_an_opening_that_wants_its_lock_wiring_secured_refuses_the_contact_outside(doors: Any) -> None:
    wiring = doors.choose(opening(doors, controller_at="unsecured", lock_wiring_secured=True))
    assert wiring.chosen is None
    (refused,) = [r for c in wiring.considered if c.arrangement == "controller-contact" for r in c.failed][:1]
    assert refused.name == "exposed-wires"
    assert "joining C and NO" in refused.what


def test_the_sheet_measures_both_contacts_at_rest_and_energised(doors: Any) -> None:
    readings = expected_readings(doors.circuit("controller-contact", opening(doors)), doors.at)
    seen = {(r.what, r.state.partition(",")[0]): r.words for r in readings if r.what.startswith("controller's contact")}
    assert seen == {
        ("controller's contact C to NO", "power off"): "open", ("controller's contact C to NC", "power off"): "closed",
        ("controller's contact C to NO", "relay energised"): "closed",
        ("controller's contact C to NC", "relay energised"): "open",
    }  # fmt: skip


@pytest.mark.parametrize(
    "variant", [name for name, (arrangement, _) in VARIANTS.items() if arrangement == "controller-contact"]
)
@pytest.mark.slow
def test_of_all_miswirings_of_the_contact_s_door_nearly_all_are_shown(doors: Any, variant: str) -> None:
    """Every single miswiring, not a sample: at least 98 of 100 that change what the door does are seen."""
    arrangement, differs = VARIANTS[variant]
    circuit = doors.circuit(arrangement, {**doors.served[arrangement], **differs})
    working = [one for one in judge_miswirings(circuit, doors.at) if one.changes]
    hidden = [one.miswiring for one in working if not one.shown_by]
    assert len(working) > 20
    assert len(hidden) <= 0.02 * len(working), hidden
