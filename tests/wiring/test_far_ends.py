"""Every device, contact and suppressor is judged where it stands; what a part does not state is never a pass.

Each case is the smallest input that once passed. Expected voltages are worked by hand from Ohm's law and the resistances of
NEC chapter 9 table 8 and NBS Handbook 100.
"""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.design import design
from riserkit.findings import Finding, Severity, Verdict
from riserkit.model.catalogue import PARTS
from riserkit.model.parts import DcSupply, Part
from riserkit.rules._shared.evaluate import check
from riserkit.standards.copper import at_temperature, resistance_per_m_20c_ohm
from riserkit.wiring.readings.expected import expected_readings

FIXED = {"levels": [{"id": "L1", "elevation_m": 0}]}
READER = {
    "id": "reader-thirsty",
    "kind": "reader",
    "rated_v": 12,
    "draw_a": 0.3,
    "tolerance_low": 0.15,
    "tolerance_high": 0.15,
}
THIN = {"id": "26-4", "kind": "control", "conductors": 4, "gauge": "26 AWG", "stranding": "solid"}


def findings(doors: Any, rule: str, opening: dict[str, Any], **tables: Any) -> list[Finding]:
    site = doors.site(
        opening, switches=[{"id": "SW1", "closet": "C1", "ports": 8, "poe_budget_w": 120, "on_ups": True}], **tables
    )
    return [f for f in check(design(site)) if f.rule == rule and f.subject == "101"]


def failing(found: list[Finding]) -> list[Finding]:
    return [f for f in found if f.verdict is Verdict.FAIL]


def opened(found: list[Finding]) -> list[Finding]:
    return [f for f in found if f.verdict is Verdict.NOT_EVALUATED]


def test_a_reader_at_the_end_of_thin_cable(doors: Any) -> None:
    """0.3 A through 80 m of 26 AWG and back: 11.4 V at the source less 6.9 V."""
    opening = {**doors.bare, "lock": "strike-12-secure", "reader_out": "reader-thirsty"}
    tables = {
        "parts": [READER], "cable_types": [THIN], "info": {"reader_cable": "26-4"},
        "runs": [{"id": "R1", "from_end": "101/controller", "to_end": "101/reader", "cable_type": "26-4", "length_m": 80,
                  "basis": "measured"}],
    }  # fmt: skip
    (fault,) = failing(findings(doors, "device-voltage", opening, **tables))
    ohm = 2 * 80 * at_temperature(resistance_per_m_20c_ohm("26 AWG", "solid"), 40.0)
    # 0.05 ohm of contact, 0.02 of source and the 0.01 of a bond stand before the cable.
    assert fault.value == pytest.approx(11.4 - 0.3 * ohm, abs=0.05)
    assert fault.limit == pytest.approx(10.2)
    assert fault.severity is Severity.ERROR
    assert "fed from K1.A+" in fault.message
    nearer = {**tables, "runs": [{**tables["runs"][0], "length_m": 8}]}
    assert not failing(findings(doors, "device-voltage", opening, **nearer))


@pytest.mark.parametrize("field", ["rated_v", "tolerance_low", "tolerance_high"])
def test_a_reader_without_tolerance_is_not_passed(doors: Any, field: str) -> None:
    part = {name: value for name, value in READER.items() if name != field}
    opening = {**doors.bare, "lock": "strike-12-secure", "reader_out": "reader-thirsty"}
    (fault,) = opened(findings(doors, "device-voltage", opening, parts=[part]))
    assert field in fault.remedy


@pytest.mark.parametrize(("rated_v", "word"), [(24, "lowest"), (5, "highest")])
def test_a_sensor_of_another_voltage(doors: Any, rated_v: float, word: str) -> None:
    part = {"id": "other", "kind": "rex-sensor", "rated_v": rated_v, "draw_a": 0.02, "tolerance_low": 0.15,
            "tolerance_high": 0.15, "poles": 1, "releases_on_loss": False}  # fmt: skip
    (fault,) = failing(findings(doors, "device-voltage", {**doors.strike, "rex": "other"}, parts=[part]))
    assert fault.about.startswith(word)
    wiring = doors.choose({**doors.strike, "rex": "other"}, parts=[part])
    assert wiring.chosen is None, "an arrangement that starves its sensor is no choice"


@pytest.mark.parametrize(("share", "passed"), [(1.0, True), (0.999, False)])
def test_device_voltage_at_its_limit(doors: Any, share: float, passed: bool) -> None:
    """The tolerance that the solved voltage just keeps, and one a thousandth tighter."""
    solved_v = next(d.low_v for d in doors.choose(doors.strike).voltages.devices if d.ref == "B2")
    part = {"id": "edge", "kind": "rex-sensor", "rated_v": 12, "draw_a": 0.025, "poles": 2, "releases_on_loss": True,
            "tolerance_low": (1 - solved_v / 12) * share, "tolerance_high": 0.15}  # fmt: skip
    found = failing(findings(doors, "device-voltage", {**doors.strike, "rex": "edge"}, parts=[part]))
    assert (not found) is passed


def test_a_module_behind_a_long_cable_does_not_pull_in(doors: Any) -> None:
    part = {"id": "hungry", "kind": "relay", "command": "authenticated", "coil_v": 12, "coil_a": 0.5, "contact_a": 3,
            "contact_v": 30, "tolerance_low": 0.1, "tolerance_high": 0.1}  # fmt: skip
    run = {"id": "R1", "from_end": "101/controller", "to_end": "101/relay", "length_m": 60, "basis": "measured"}
    opening = {**doors.strike, "relay": "hungry", "arrangement": "relay-module"}
    found = failing(findings(doors, "device-voltage", opening, parts=[part], runs=[run]))
    assert [f.about for f in found] == ["lowest voltage at relay module K2"]


def test_the_trigger_of_an_exit_devices_supply(doors: Any) -> None:
    """Half of 0.97 x 24 V, less what 12 A of pull-in drop over 0.07 ohm, against 0.7 of half of 24 V."""
    found = findings(doors, "device-voltage", doors.served["dry-trigger"])
    (one,) = [f for f in found if "trigger" in f.message]
    assert one.verdict is Verdict.PASS
    live_v = 0.97 * 24 * 2.0 / (2.0 + 0.02 + 0.05)
    assert one.value == pytest.approx(live_v / 2, abs=0.1)
    assert one.limit == pytest.approx(8.4)


def test_a_controller_fed_from_a_splitter_is_judged_at_its_own_terminals(doors: Any) -> None:
    found = findings(doors, "device-voltage", {**doors.served["splitter-magnet"], "arrangement": "splitter-magnet"})
    (one,) = [f for f in found if "controller" in f.message]
    assert "fed from T1.P+" in one.message


RELEASE = {"id": "weak", "kind": "release-button", "contact_a": 0.6, "contact_v": 30, "poles": 2, "hold_s": 30}
TWO_LEAVES = {"type": "double", "lock_count": 2}


@pytest.mark.parametrize(("leaves", "faults"), [({}, 0), (TWO_LEAVES, 1)])
def test_one_release_carries_both_locks(doors: Any, leaves: dict[str, Any], faults: int) -> None:
    """0.35 A each at 12 V: 0.6 A is enough for one magnet and too little for two."""
    opening = {**doors.magnet, **leaves, "lock": "magnet-12-300", "release": "weak"}
    found = failing(findings(doors, "contact-rating", opening, parts=[RELEASE]))
    assert len(found) == faults
    for fault in found:
        assert "S1 11-12" in fault.message
        assert fault.value == pytest.approx(2 * 0.35 * 12.6 / 12, rel=0.1)


@pytest.mark.parametrize(
    ("part", "opening", "named"),
    [
        ({"id": "p", "kind": "relay", "command": "authenticated", "coil_v": 12, "coil_a": 0.06, "tolerance_low": 0.15,
          "tolerance_high": 0.15, "contact_a": 3}, {"relay": "p", "arrangement": "relay-module"}, "relay's contact"),
        ({"id": "p", "kind": "release-button", "contact_a": 3, "poles": 2, "hold_s": 30}, {"release": "p"}, "manual release"),
        ({"id": "p", "kind": "fire-alarm-relay", "contact_a": 3}, {"fire_relay": "p", "fire_alarm_release": True},
         "fire alarm relay"),
        ({"id": "p", "kind": "door-contact", "contact_a": 0.1}, {"contact": "p"}, "door contact"),
        ({"id": "p", "kind": "rex-sensor", "rated_v": 12, "draw_a": 0.025, "tolerance_low": 0.15, "tolerance_high": 0.15,
          "releases_on_loss": True, "poles": 2, "contact_a": 1}, {"rex": "p"}, "REX sensor"),
    ],
)  # fmt: skip
def test_every_kind_of_contact_is_judged_for_volts(
    doors: Any, part: dict[str, Any], opening: dict[str, Any], named: str
) -> None:
    door = {**doors.magnet, "lock": "magnet-12-300", **opening}
    unstated = opened(findings(doors, "contact-rating", door, parts=[part]))
    assert unstated
    assert all(named in f.message and "contact_v" in f.remedy for f in unstated)
    weak = failing(findings(doors, "contact-rating", door, parts=[{**part, "contact_v": 1}]))
    assert weak
    assert all(named in f.message and f.unit == "V" for f in weak)


@pytest.mark.parametrize(
    ("part", "about"),
    [
        ({"kind": "varistor", "clamp_v": 12, "rated_a": 1}, ("clamp voltage of R1",)),
        ({"kind": "varistor", "clamp_v": 47, "rated_a": 0.1}, ("current of R1",)),
        ({"kind": "diode", "clamp_v": 0.7, "rated_a": 0.1}, ("current of R1", "kind of R1")),
        ({"kind": "varistor", "clamp_v": 47, "rated_a": 1, "energy_j": 0.001}, ("energy of R1",)),
    ],
)
def test_a_suppressor_that_does_not_fit(doors: Any, part: dict[str, Any], about: tuple[str, ...]) -> None:
    opening = {**doors.magnet, "lock": "magnet-24-600", "suppressor": "p"}
    assert [
        f.about for f in failing(findings(doors, "suppressor-rating", opening, parts=[{"id": "p", **part}]))
    ] == list(about)


def test_a_suppressor_that_fits_is_silent(doors: Any) -> None:
    found = findings(doors, "suppressor-rating", {**doors.magnet, "lock": "magnet-24-600"})
    assert [f.verdict for f in found] == [Verdict.PASS]


def test_a_suppressor_of_unknown_rating_is_not_passed(doors: Any) -> None:
    part = {"id": "p", "kind": "varistor", "clamp_v": 47}
    found = findings(
        doors, "suppressor-rating", {**doors.magnet, "lock": "magnet-24-600", "suppressor": "p"}, parts=[part]
    )
    assert [f.remedy for f in opened(found)] == ["State rated_a of p."]


def test_an_exit_device_says_whether_its_suppressor_is_fitted(doors: Any) -> None:
    own = {"id": "own", "kind": "electrified-exit-device", "action": "fail-secure", "rated_v": 24, "hold_a": 0.7,
           "tolerance_low": 0.15, "tolerance_high": 0.1, "own_supply": True}  # fmt: skip
    opening = {**doors.served["dry-trigger"], "lock": "own"}
    assert opened(findings(doors, "suppressor-rating", opening, parts=[own]))
    assert not opened(findings(doors, "suppressor-rating", opening, parts=[{**own, "suppressor_fitted": True}]))


BATTERY = {"id": "b", "kind": "dc-supply", "output_v": 24, "output_a": 4, "tolerance": 0.02, "battery_ah": 7}


@pytest.mark.parametrize("stated", [{}, {"float_v": 27.4}, {"end_v": 21.6}])
def test_a_battery_supply_without_its_limits_is_not_computed(doors: Any, stated: dict[str, Any]) -> None:
    opening = {**doors.magnet, "lock": "magnet-24-600", "supply": "S"}
    tables = {"parts": [{**BATTERY, **stated}], "supplies": [{"id": "S", "part": "b", "opening": "101"}]}
    for rule in ("lock-voltage", "contact-rating", "release-by-hand"):
        found = findings(doors, rule, opening, **tables)
        assert found
        assert not [f for f in found if f.verdict is Verdict.PASS and f.about != "release time"], rule
    (wiring,) = findings(doors, "no-suitable-wiring", opening, **tables)
    assert wiring.verdict is Verdict.NOT_EVALUATED
    circuit = doors.choose(opening, **tables).circuit
    assert {r.words for r in expected_readings(circuit, doors.at) if r.unit == "V"} == {
        "not computed: its parts lack values"
    }


def test_regulated_behind_its_battery(doors: Any) -> None:
    assert DcSupply(**BATTERY, regulated=True).range_v == pytest.approx((24, 23.52, 24.48))
    assert DcSupply(**BATTERY, float_v=27.4, end_v=21.6).range_v == (24, 21.6, 27.4)
    assert DcSupply(**BATTERY).range_v is None


def test_a_tolerance_of_nothing_is_nothing(doors: Any) -> None:
    lock = {"id": "exact", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.2, "tolerance_low": 0,
            "tolerance_high": 0.1}  # fmt: skip
    circuit = doors.circuit("direct", {**doors.served["direct"], "lock": "exact"}, parts=[lock])
    assert circuit.netlist.element("M1.coil").values["v_pull_in_v"] == 12


NEEDED = [
    ("controller-c4", "output_tolerance", "relay-module"), ("controller-c4", "auxiliary_v", "relay-module"),
    ("relay-auth", "coil_v", "relay-module"), ("relay-auth", "coil_a", "relay-module"),
    ("relay-volt", "trigger_a", "relay-by-voltage"), ("rex-motion", "draw_a", "relay-module"),
    ("rex-motion", "tolerance_low", "relay-module"), ("splitter-12", "output_tolerance", "splitter-magnet"),
    ("reader-out", "draw_a", "relay-module"), ("varistor-47", "clamp_v", "splitter-magnet"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "field", "arrangement"), NEEDED)
def test_a_circuit_with_a_value_missing_is_drawn_and_not_claimed(
    doors: Any, part: str, field: str, arrangement: str
) -> None:
    """A blank cell of a part stops what needs it: no number stands in for it."""
    own = _blank(part, field)
    opening = {**doors.served[arrangement], "arrangement": arrangement}
    opening |= {"reader_out": part} if part == "reader-out" else {}
    wiring = doors.choose(opening, parts=[own])
    assert field in wiring.not_computed
    assert wiring.voltages.lock_low_v is None
    assert wiring.circuit is not None
    assert wiring.circuit.netlist.unknown
    assert not doors.choose(opening).not_computed


def _blank(part_id: str, field: str) -> dict[str, Any]:
    part: Part = next(p for p in PARTS if p.id == part_id)
    return {k: v for k, v in part.model_dump(mode="json", exclude_none=True).items() if k != field}


def test_nothing_is_computed_behind_an_overloaded_output(doors: Any) -> None:
    """Two strikes of 0.5 A on an output of 0.6 A: box and test sheet both say so, and neither prints a voltage."""
    opening = {**doors.served["direct"], **TWO_LEAVES, "lock": "strike-12-heavy", "arrangement": "direct"}
    wiring = doors.choose(opening)
    why = {r.name: r.why for r in wiring.chosen.reasons if r.unit == "V"}
    assert why["lock-voltage-low"] == why["lock-voltage-high"] == "not computed: over limit"
    readings = expected_readings(wiring.circuit, doors.at)
    on = [r for r in readings if r.what.startswith("lock M1, far end")]
    assert [r.words for r in on] == ["not computed: over limit"]
    assert not [f for f in findings(doors, "lock-voltage", opening) if f.verdict is Verdict.PASS]


def test_class_2_names_its_doors(doors: Any) -> None:
    site = doors.site(
        {**doors.magnet, "lock": "magnet-24-600", "supply": "S"},
        supplies=[{"id": "S", "part": "supply-24-4", "opening": "101"}],
    )
    (note,) = [f for f in check(design(site)) if f.rule == "supply-class-2"]
    assert (note.verdict, note.severity) == (Verdict.FAIL, Severity.NOTE)
    assert "It feeds 101." in note.message
