"""Volts at the lock, both ways, and the copper that would mend them."""

import pytest

from riserkit.findings import Verdict
from riserkit.model.parts import Lock
from riserkit.rules._shared.evaluate import check

LOW, HIGH = "Lowest voltage", "Highest voltage"
# Ohm per kilometre at 20 °C: stranded, NEC chapter 9 table 8 at 75 °C brought back to 20 °C.
BACK_TO_20 = 1 / (1 + 0.00393 * 55)
PER_M = {"18 AWG": 0.0261 * BACK_TO_20, "16 AWG": 0.0164 * BACK_TO_20, "14 AWG": 0.0103 * BACK_TO_20}
HOT = 1 + 0.00393 * 20


def door(low_v=11.5, high_v=12.5, **circuit):
    return {"volts": {"lock_low_v": low_v, "lock_high_v": high_v}, "wiring": {"circuit": circuit}}


def own_lock(**more):
    data = {"id": "own", "kind": "strike", "rated_v": 12, "hold_a": 0.5, "tolerance_low": 0.15, "tolerance_high": 0.1}
    return {"parts": (Lock.model_validate({**data, **more}),)}


CASES = [
    pytest.param({"doors": (door(11.5),)}, LOW, {"verdict": "pass", "limit": 10.2, "margin": 1.3}, id="enough"),
    pytest.param({"doors": (door(10.2),)}, LOW, {"verdict": "pass", "margin": 0}, id="at the lower limit"),
    pytest.param({"doors": (door(10.19),)}, LOW, {"verdict": "fail", "margin": -0.01, "message": "10.19 V"}, id="below"),
    pytest.param({"doors": (door(),)}, HIGH, {"verdict": "pass", "limit": 13.2, "margin": 0.7}, id="not too much"),
    pytest.param({"doors": (door(high_v=13.2),)}, HIGH, {"verdict": "pass", "margin": 0}, id="at the upper limit"),
    pytest.param(
        {"doors": (door(high_v=13.7),)}, HIGH,
        {"verdict": "fail", "remedy": "at most 13.2 V, 0.5 V less, or a lock rated to 13.7 V"},
        id="a battery that floats too high",
    ),
    pytest.param(
        {"doors": (door(10.0, lock_m=1),)}, LOW,
        {"verdict": "fail", "remedy": "A source with 0.2 V more at its lowest"},
        id="no copper helps",
    ),
    pytest.param(
        {"doors": (door(None, None),)}, "unknown",
        {"verdict": "not evaluated", "message": "yields no lock voltage"},
        id="not solved",
    ),
    pytest.param({"doors": (door(11.0, None),)}, "unknown", {"verdict": "not evaluated"}, id="solved on one side only"),
    pytest.param(
        {"doors": ({**door(), "wiring": {"missing": ["lock.hold_a"]}, "volts": {"lock_low_v": None}},)}, "unknown",
        {"verdict": "not evaluated", "severity": "note", "message": "lock.hold_a"}, id="not solved for lack of data",
    ),
    pytest.param(
        {"doors": ({"opening": {"lock": ""}},)}, "", {"verdict": "not evaluated", "remedy": "State the opening's lock"}, id="no lock"
    ),
    pytest.param(
        {**own_lock(tolerance_low=None), "doors": ({**door(5), "opening": {"lock": "own"}},)}, "does not state",
        {"verdict": "not evaluated", "message": "tolerance_low"}, id="lower tolerance not stated",
    ),
    pytest.param(
        {**own_lock(tolerance_low=None), "doors": ({**door(5), "opening": {"lock": "own"}},)}, HIGH,
        {"verdict": "pass"}, id="the upper one is still judged",
    ),
    pytest.param(
        {**own_lock(rated_v=None), "doors": ({**door(), "opening": {"lock": "own"}},)}, "",
        {"verdict": "not evaluated", "message": "rated_v"}, id="rated voltage not stated",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "about", "expected"), CASES)
def test_lock_voltage(judge, spec, about, expected):
    judge("lock-voltage", spec, {"about": about, **expected})


def test_a_lock_with_its_own_supply_is_not_measured(findings_of):
    assert findings_of("lock-voltage", {"doors": ({"opening": {"lock": "exit-device-motor"}},)}) == []


def test_thicker_gauge_is_recomputed_from_the_cable(judge):
    # 20 m there and back, lock of 24 ohm: 16 AWG is not yet enough, 14 AWG is.
    ohm = {gauge: 40 * per_m * HOT for gauge, per_m in PER_M.items()}
    before_v = 10.0 * (1 + ohm["18 AWG"] / 24)
    volts = {gauge: before_v * 24 / (24 + r_ohm) for gauge, r_ohm in ohm.items()}
    assert volts["16 AWG"] < 10.2 < volts["14 AWG"], "the case itself has to be one that the gauge decides"
    remedy = f"14 AWG instead of 18 AWG: {int(volts['14 AWG'] * 10) / 10} V"
    judge("lock-voltage", {"doors": (door(10.0, lock_m=20),)}, {"about": LOW, "verdict": "fail", "remedy": remedy})


def test_longest_lock_cable(judge):
    ohm = 40 * PER_M["18 AWG"] * HOT
    longest_m = 20 * 24 * (10.0 * (1 + ohm / 24) / 10.2 - 1) / ohm
    remedy = f"a lock cable of at most {int(longest_m * 10) / 10} m of 18 AWG"
    judge("lock-voltage", {"doors": (door(10.0, lock_m=20),)}, {"about": LOW, "verdict": "fail", "remedy": remedy})


def test_what_stands_before_the_cable_is_not_wished_away(judge):
    """From 12 V, 4.8 ohm stand before a lock of 24 ohm at 10 V; only the cable's share of them can be cut."""
    ohm = 40 * PER_M["18 AWG"] * HOT
    longest_m = 20 * (24 * (12 / 10.2 - 1) - (4.8 - ohm)) / ohm
    remedy = f"A lock cable of at most {int(longest_m * 10) / 10} m of 18 AWG."
    spec = {"doors": (door(10.0, lock_m=20, source_v=12.0),)}
    judge("lock-voltage", spec, {"about": LOW, "verdict": "fail", "remedy": f"; or {remedy[0].lower()}{remedy[1:]}"})


def test_a_feed_carries_the_current_of_both_locks(judge):
    """60 m of feed for two locks drop as 120 m for one; the feed is what to shorten."""
    feed, lock = 2 * 2 * 60 * PER_M["18 AWG"] * HOT, 2 * 2 * PER_M["18 AWG"] * HOT
    before_v = 9.0 * (1 + (feed + lock) / 24)
    longest_m = 60 * (24 * (before_v / 10.2 - 1) - lock) / feed
    remedy = f"a feed from the supply of at most {int(longest_m * 10) / 10} m of 18 AWG"
    spec = {"doors": (door(9.0, lock_m=2, feed_m=60, locks=2),)}
    judge("lock-voltage", spec, {"about": LOW, "verdict": "fail", "remedy": remedy})


@pytest.mark.parametrize(
    ("opening", "title", "words"),
    [
        ({}, "Existing strike 8-12 V AC/DC, buzzing", "12 V AC"),
        ({}, "Strike 24VAC", "24VAC"),
        ({}, "Old strike, AC only", "AC"),
        ({}, "Strike 12 V~", "12 V~"),
        ({"remarks": "existing 8-12 V AC bell transformer feeds the strike"}, "", "12 V AC"),
        ({"remarks": "AC bell transformer feeds the strike"}, "", "AC bell transformer"),
        ({"remarks": "120 V AC for the operator; bell transformer kept"}, "", "bell transformer"),
        ({"name": "Side door, AC/DC strike"}, "", "AC/DC"),
        ({"remarks": "230 VAC outlet for the operator"}, "", ""),
        ({"remarks": "A/C plant room; AC panel by others; access by card; 2 V across it"}, "", ""),
        ({"name": "AC plant"}, "Strike 12 V accessible, vacuum", ""),
        ({"remarks": "no AC transformer left"}, "Strike 12 V DC, not AC", ""),
    ],
)
def test_a_lock_that_speaks_of_ac_is_asked_for_its_data_at_dc(site_of, opening, title, words):
    """A strike on an old bell transformer was wired from DC with a diode across it, and nothing asked."""
    part = {"id": "old", "title": title, "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.5,
            "pull_in_a": 0.5, "tolerance_low": 0.15, "tolerance_high": 0.1, "inductance_h": 0.2}  # fmt: skip
    design = site_of({"lock": "old", "egress": "mechanical", "free_egress_hardware": True, **opening}, parts=(part,))
    told = [f for f in check(design) if f.about == "AC"]
    assert [f.message.split("'")[1] for f in told] == ([words] if words else [])
    assert all(f.rule == "lock-voltage" and f.verdict is Verdict.NOT_EVALUATED for f in told)
    assert all("Disconnect any AC transformer" in f.remedy for f in told)


def test_a_lock_with_a_supply_of_its_own_is_not_asked_about_ac(site_of):
    part = {
        "id": "old",
        "title": "Bar, 24 VAC inside",
        "kind": "electrified-exit-device",
        "rated_v": 24,
        "own_supply": True,
    }
    assert not [f for f in check(site_of({"lock": "old", "egress": "mechanical"}, parts=(part,))) if f.about == "AC"]
