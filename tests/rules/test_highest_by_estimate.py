"""A highest voltage that keeps its limit only by the drop over cables that nobody has measured."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from riserkit.findings import Finding, Severity, Verdict
from riserkit.rules._shared import estimated_highs
from riserkit.rules._shared.estimated_highs import EstimatedHighs
from riserkit.wiring.as_built import BuiltCircuit
from riserkit.wiring.choose.judge import Temperatures, solve_built, solve_shortened
from riserkit.wiring.reason import Reason
from riserkit.wiring.values import DoorVoltages
from tests.known_bad.designs import design_of, said_by

FLOAT_V = 13.7
AS_ESTIMATED_V, NO_LENGTH_V = 13.3205, 13.6015
"""At a 12 V magnet behind a battery that floats at 13.7 V; the first test solves both from the netlist itself."""
IN_SERIES = ("lock", "release", "rex_feed", "supply", "fire")
WAYS = {"lock": "fire", "release": "rex_feed", "rex_feed": "supply", "supply": "relay", "fire": "release"}


def case(most_v: float, *measured: str, rex_most_v: float | None = None) -> dict[str, Any]:
    """A sensor-released door with a magnet rated to so many volts; measured cables are as long as estimated."""
    parts = [{"like": "magnet-12-300", "id": "narrow", "tolerance_high": most_v / 12 - 1}]
    opening = {"lock": "narrow"}
    if rex_most_v is not None:
        parts.append({"like": "rex-motion", "id": "rex-narrow", "tolerance_high": rex_most_v / 12 - 1})
        opening["rex"] = "rex-narrow"
    runs = [
        {"id": f"R-{device}", "from_end": f"101/{WAYS[device]}", "to_end": f"101/{device}", "length_m": 5, "basis": "measured"}
        for device in measured
    ]  # fmt: skip
    return {"door": "sensor", "parts": parts, "opening": opening, "runs": runs}


def highest(asked: dict[str, Any]) -> list[Finding]:
    return [f for f in said_by(asked, "estimated-length") if f.about == "highest voltage"]


def test_the_two_voltages_are_those_of_the_netlist() -> None:
    made = design_of(case(13.4))
    (door,) = made.doors
    build, circuit = door.wiring.build, door.wiring.circuit
    at = Temperatures(made.site.info.coldest_c, made.site.info.pathway_c)
    bare = replace(circuit.netlist, conductors=tuple(
        replace(c, r20_ohm=0.0) if c.cable else c for c in circuit.netlist.conductors
    ))  # fmt: skip
    stated, short = solve_shortened(build.need, circuit, at, [(), tuple(c.ref for c in circuit.netlist.cables)])
    assert stated == solve_built(build.need, circuit, at)
    assert short == solve_built(build.need, replace(circuit, netlist=bare), at)
    assert stated.lock_high_v == pytest.approx(AS_ESTIMATED_V, abs=1e-4)
    assert short.lock_high_v == pytest.approx(NO_LENGTH_V, abs=1e-4)
    assert short.lock_high_v < FLOAT_V


def test_a_pass_by_the_estimate_alone_is_told() -> None:
    (found,) = highest(case(13.4))
    assert (found.verdict, found.severity) == (Verdict.FAIL, Severity.NOTE)
    assert (found.value, found.limit) == (pytest.approx(NO_LENGTH_V, abs=1e-4), pytest.approx(13.4))
    assert "the lock 13.3 V as estimated, up to 13.6 V with shorter cable, rated to 13.4 V" in found.message
    assert "of 101-W11, 101-W9, 101-W7, 101-W6, 101-W10:" in found.message, "those in series, the greatest drop first"
    assert "Measure 101-W11, " in found.remedy
    assert "feed the lock from a source of at most 13.4 V, or use one rated to 13.7 V" in found.remedy


@pytest.mark.parametrize(
    ("most_v", "told"),
    [
        pytest.param(AS_ESTIMATED_V - 0.001, False, id="fails as it is: lock-voltage says so"),
        pytest.param(AS_ESTIMATED_V + 0.001, True, id="just kept by the estimate"),
        pytest.param(NO_LENGTH_V - 0.001, True, id="just not kept without"),
        pytest.param(NO_LENGTH_V + 0.001, False, id="kept over any cable, though below the source"),
        pytest.param(FLOAT_V, False, id="rated to the source"),
    ],
)
def test_it_is_told_only_where_the_estimate_decides(most_v: float, told: bool) -> None:
    assert bool(highest(case(most_v))) is told


def test_measured_cables_are_left_as_they_are() -> None:
    assert not highest(case(13.4, *IN_SERIES)), "all that lock current passes is measured"
    (found,) = highest(case(13.4, "release", "rex_feed"))
    assert "of 101-W11, 101-W6, 101-W10:" in found.message
    assert found.value < NO_LENGTH_V - 0.05


def test_a_device_is_asked_as_the_lock_is() -> None:
    (found,) = highest(case(FLOAT_V, rex_most_v=13.695))
    assert "REX sensor B2 13.69" in found.message
    assert "the lock" not in found.message


def test_one_finding_a_door_names_all() -> None:
    (found,) = highest(case(13.4, rex_most_v=13.695))
    assert "the lock 13.3 V" in found.message
    assert "; REX sensor B2 13.69" in found.message
    assert "feed the lock" in found.remedy
    assert "feed REX sensor B2" in found.remedy
    assert found.limit == pytest.approx(13.4), "the one furthest beyond its limit"


def test_doors_alike_are_told_each_with_its_own_lengths() -> None:
    """Two doors share one circuit and one solve: the second has a measured cable, and its own voltage."""
    asked = case(13.4)
    other = {"like": "sensor", "mark": "102", "x_m": 25, "lock": "narrow"}
    supply = {"id": "PS12B", "part": "supply-12-3", "opening": "102", "on_battery": "yes", "minus_joined": "none"}
    run = {"id": "R", "from_end": "102/fire", "to_end": "102/lock", "length_m": 5, "basis": "measured"}
    told = highest({**asked, "openings": [other], "supplies": [supply], "runs": [run]})
    by_mark = {f.subject: f for f in told}
    assert sorted(by_mark) == ["101", "102"]
    assert "102-W11" not in by_mark["102"].message
    assert by_mark["102"].value < by_mark["101"].value


def test_a_door_as_built_is_asked_with_what_is_in_its_walls() -> None:
    """A circuit as landed is solved as it stands: here its lock cable turned out thicker than drawn."""
    made = design_of(case(13.4))
    (door,) = made.doors
    circuit = door.wiring.circuit
    thick = replace(circuit.netlist, conductors=tuple(
        replace(c, r20_ohm=c.r20_ohm / 2) if c.cable == "W11" else c for c in circuit.netlist.conductors
    ))  # fmt: skip
    landed = BuiltCircuit(replace(circuit, netlist=thick), circuit, door.wiring.build)
    answers = EstimatedHighs(made)
    (drawn,) = answers.of(door)
    (built,) = answers.of(replace(door, wiring=replace(door.wiring, build=landed)))
    assert (drawn.cables[0], built.cables[0]) == ("W11", "W9"), "the thicker cable drops no longer most"
    assert built.short == pytest.approx(drawn.short), "without length its gauge does not count"


def test_a_lock_with_a_supply_of_its_own_is_not_asked() -> None:
    """As in lock-voltage: its leads belong to that supply."""
    made = design_of(case(13.4))
    (door,) = made.doors
    own = case(13.4)
    own["parts"][0]["own_supply"] = True
    assert EstimatedHighs(made).of(door)
    assert not EstimatedHighs(replace(made, site=design_of(own).site)).of(door)


def test_where_short_cables_leave_no_steady_state_the_source_stands_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(estimated_highs, "solve_shortened", lambda *given: (DoorVoltages(),) * len(given[-1]))
    (found,) = highest(case(13.65))
    assert found.value == FLOAT_V


def test_a_door_without_wiring_and_one_that_asks_too_much_are_told_by_other_rules() -> None:
    made = design_of(case(13.4))
    (door,) = made.doors
    chosen = door.wiring.chosen
    overloaded = replace(chosen, reasons=(*chosen.reasons, Reason("supply-limit", False, "more than the supply gives")))
    answers = EstimatedHighs(made)
    assert answers.of(door)
    assert not answers.of(replace(door, wiring=replace(door.wiring, chosen=overloaded)))
    assert not answers.of(replace(door, wiring=replace(door.wiring, chosen=None, nearest=chosen)))


def test_a_current_is_told_in_a_finding_of_its_own_with_what_it_comes_to_over_short_cable() -> None:
    """A coil of 0.25 A at 12 V behind 12.6 V: 262.5 mA without its cable, less the drop within the output."""
    asked = {
        "door": "strike",
        "parts": [{"like": "controller-box", "id": "edge", "output_limit_a": 0.26}],
        "opening": {"controller": "edge", "lock_cable": "22-2"},
    }
    (found,) = [f for f in said_by(asked, "estimated-length") if f.about == "highest current"]
    assert (found.severity, found.verdict, found.unit) == (Severity.NOTE, Verdict.FAIL, "A")
    assert found.value == pytest.approx(0.2618, abs=1e-4)
    measured = {
        "runs": [{"id": "R", "from_end": "101/controller", "to_end": "101/lock", "length_m": 5, "basis": "measured"}]
    }
    assert not [f for f in said_by({**asked, **measured}, "estimated-length") if f.about == "highest current"]


def test_an_own_suppressors_clamp_voltage_is_asked_beside_the_lock() -> None:
    asked = case(14.0)
    asked["parts"].append({"like": "varistor-47", "id": "low", "kind": "transient-suppressor", "clamp_v": 13.4})
    asked["opening"]["suppressor"] = "low"
    (found,) = highest(asked)
    assert "suppressor R1" in found.message
    assert 13.4 < found.value < NO_LENGTH_V, "it conducts there"
