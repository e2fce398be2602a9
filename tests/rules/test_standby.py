"""The rule `standby`: hours that a battery holds its doors, on whole sites."""

import pytest

from riserkit.design import design
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.rules._shared.evaluate import check

WHERE = Where("made up")
SHARE = {"openings_per_hour": 30, "opening_s": 6}
STRIKE = {"mark": "101", "level": "L1", "x_m": 10, "y_m": 0, "lock": "strike-24-secure", "controller": "controller-c4",
          "fail_mode": "fail-secure", "egress": "mechanical", "supply": "PS-1"}  # fmt: skip
MAGNET = {**STRIKE, "lock": "magnet-24-600", "fail_mode": "fail-safe", "arrangement": "relay-external-supply"}
UPS = {"id": "UPS-1", "closet": "C1", "battery_ah": 9, "end_v": 42, "efficiency": 0.9}


def found(*, door=STRIKE, info=None, supply=None, part=None, upses=(), switch=None):
    plain = {"id": "batt", "kind": "dc-supply", "output_v": 24, "output_a": 4, "tolerance": 0.02, "battery_ah": 7,
             "float_v": 27.4, "end_v": 21.6}  # fmt: skip
    tables = {
        "levels": [{"id": "L1", "elevation_m": 0}],
        "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}],
        "switches": [{"id": "SW1", "closet": "C1", "ports": 8, "poe_budget_w": 120, **(switch or {})}],
        "supplies": [] if supply is False else [{"id": "PS-1", "part": "batt", "closet": "C1", **(supply or {})}],
        "parts": [{k: v for k, v in {**plain, **(part or {})}.items() if v is not None}],
        "upses": list(upses),
        "openings": [door],
    }
    raw = {name: [RawRecord(row, WHERE) for row in rows] for name, rows in tables.items()}
    facts = {"standby_hours": 4, **SHARE, **(info or {})}
    site = assemble_site(RawSite(RawRecord({k: v for k, v in facts.items() if v is not None}, WHERE), raw))
    return [f for f in check(design(site)) if f.rule == "standby" and not f.about]


def test_a_fail_secure_strike_draws_while_it_is_released():
    """30 openings of 6 s an hour are a twentieth of the time."""
    (one,) = found()
    (all_the_time,) = found(info={"openings_per_hour": 600, "opening_s": 6})
    assert (one.verdict, one.subject, one.unit) == ("pass", "PS-1", "h")
    assert "101 locked from outside" in one.message
    assert all_the_time.value < one.value


def test_a_battery_too_small_fails_with_the_ampere_hours_that_do():
    (one,) = found(info={"standby_hours": 990})
    assert one.verdict == "fail"
    needed = float(one.remedy.split("at least ")[1].split(" Ah")[0])
    (enough,) = found(info={"standby_hours": 990}, part={"battery_ah": needed})
    (short,) = found(info={"standby_hours": 990}, part={"battery_ah": needed * 0.98})
    assert (enough.verdict, short.verdict) == ("pass", "fail")


def test_a_battery_as_cold_as_a_gate_is_asked_where_it_stands():
    """The coldest of the site is that of its yard; a battery stands indoors, and the remedy is to say so."""
    busy = {"openings_per_hour": 600}
    (warm,) = found(info={**busy, "coldest_c": 10})
    cold = {**busy, "standby_hours": warm.value, "coldest_c": -25}
    (one,) = found(info=cold)
    (indoors,) = found(info=cold, supply={"battery_c": 20})
    (too_cold,) = found(info=cold, supply={"battery_c": -25})
    (too_small,) = found(info={**cold, "standby_hours": 3 * warm.value})
    assert (one.verdict, indoors.verdict, too_cold.verdict, too_small.verdict) == ("fail", "pass", "fail", "fail")
    assert "state battery_c" in one.remedy
    assert "battery_c" not in too_cold.remedy
    assert "battery_c" not in too_small.remedy


def test_of_a_supply_that_the_design_adds_it_is_told_which_row_states_its_place():
    """It has no row of its own: whoever reads `state battery_c` would look for one in vain."""
    door = {**MAGNET, "supply": ""}
    (warm,) = found(door=door, info={"coldest_c": 10}, supply=False)
    (one,) = found(door=door, info={"standby_hours": warm.value, "coldest_c": -25}, supply=False)
    assert (one.subject_kind, one.verdict) == ("opening", "fail")
    assert f"state battery_c in a row of supplies, with opening {one.subject}." in one.remedy


def test_exactly_the_hours_asked_for_pass():
    (one,) = found()
    (same,) = found(info={"standby_hours": one.value})
    (more,) = found(info={"standby_hours": one.value * 1.0001})
    assert (same.verdict, more.verdict) == ("pass", "fail")


def test_cold_and_the_supplys_own_hours_count():
    (site_wide,) = found()
    (cold,) = found(supply={"battery_c": -5})
    (own,) = found(supply={"standby_hours": 990})
    assert cold.value < site_wide.value
    assert (own.limit, own.verdict) == (990, "fail")


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"info": {"standby_hours": None}}, "standby_hours"),
        ({"part": {"end_v": None}}, "end_v of batt"),
        ({"part": {"battery_ah": None}, "supply": {"on_battery": True}}, "battery_ah of batt"),
        ({"part": {"regulated": True}}, "data sheet"),
    ],
)
def test_what_is_missing_is_no_pass(changes, named):
    (one,) = found(**changes)
    assert one.verdict == "not evaluated"
    assert named in one.remedy


def test_without_the_share_the_greater_current_decides_and_a_failure_by_it_alone_is_not_evaluated():
    without = {"openings_per_hour": None, "opening_s": None}
    (passes,) = found(info={**without, "standby_hours": 1})
    (open_question,) = found(info={**without, "standby_hours": 100})
    assert passes.verdict == "pass"
    assert open_question.verdict == "not evaluated"
    assert "openings_per_hour" in open_question.remedy


def test_a_supply_without_battery_says_nothing():
    assert found(supply={"on_battery": False}) == []


def test_a_fail_safe_door_draws_while_it_is_idle_and_stands_open_at_the_end():
    (often,), (seldom,) = (found(door=MAGNET, info={"openings_per_hour": n}) for n in (300, 1))
    assert "101 unlocked" in seldom.message
    assert seldom.value < often.value


def test_a_ups_carries_the_ports_and_the_switch():
    on = {"on_ups": True, "ups": "UPS-1", "own_w": 20}
    by_subject = {f.subject: f for f in found(upses=[UPS], switch=on)}
    one = by_subject["UPS-1"]
    assert one.verdict == "pass"
    assert "101 without controller" in one.message
    heavier = {f.subject: f for f in found(upses=[UPS], switch={**on, "own_w": 60})}["UPS-1"]
    assert heavier.value < one.value


def test_ports_on_a_ups_count_idle_and_released_in_the_stated_share():
    """A fail-secure strike draws while released only; without a share the port's most counts all the time."""
    on = {"on_ups": True, "ups": "UPS-1", "own_w": 20}
    door = {**STRIKE, "lock": "strike-12-secure", "supply": ""}

    def hours(per_hour):
        info = {"openings_per_hour": per_hour, "opening_s": 5}
        return {f.subject: f for f in found(door=door, upses=[UPS], switch=on, info=info)}["UPS-1"].value

    never, half, always = hours(0), hours(360), hours(720)
    assert never > half > always
    assert always == pytest.approx(hours(None), rel=1e-3)


@pytest.mark.parametrize(
    ("ups", "switch", "subject", "named"),
    [
        (UPS, {"on_ups": True, "ups": "UPS-1"}, "UPS-1", "own_w"),
        ({**UPS, "battery_ah": ""}, {"on_ups": True, "ups": "UPS-1", "own_w": 20}, "UPS-1", "battery_ah of UPS-1"),
        (UPS, {"on_ups": True}, "SW1", "ups of this switch"),
    ],
)
def test_a_ups_of_which_something_is_missing_is_not_evaluated(ups, switch, subject, named):
    given = {k: v for k, v in ups.items() if v != ""}
    one = {f.subject: f for f in found(upses=[given], switch=switch)}[subject]
    assert one.verdict == "not evaluated"
    assert named in one.remedy


def test_a_ups_that_fails_without_what_is_missing_fails():
    one = {f.subject: f for f in found(upses=[{**UPS, "battery_ah": 0.1}], switch={"ups": "UPS-1"})}["UPS-1"]
    assert one.verdict == "fail"


def test_a_switch_cannot_be_on_a_ups_and_not():
    with pytest.raises(InputError, match="expected on_ups yes or empty"):
        found(upses=[UPS], switch={"on_ups": False, "ups": "UPS-1"})


def test_a_ups_may_be_stated_in_watt_hours():
    """Of a battery whose ampere-hours are stated at its end voltage, watt-hours are the product of the two."""
    on = {"on_ups": True, "ups": "UPS-1", "own_w": 20}
    plain = {name: value for name, value in UPS.items() if name not in {"battery_ah", "end_v"}}

    def hours(ups):
        return {f.subject: f for f in found(upses=[ups], switch=on)}["UPS-1"]

    in_wh = hours({**plain, "battery_wh": UPS["battery_ah"] * UPS["end_v"]})
    assert in_wh.value == pytest.approx(hours(UPS).value, rel=1e-12)
    assert "Wh, aged" in in_wh.message
    short = hours({**plain, "battery_wh": 1})
    assert (short.verdict, short.remedy.partition(", or")[0].endswith("Wh")) == ("fail", True)
    with pytest.raises(InputError, match="either battery_wh, or battery_ah"):
        found(upses=[{**UPS, "battery_wh": 100}], switch=on)


@pytest.mark.parametrize(
    ("case", "subject", "way"),
    [
        ({"info": {"standby_hours": 990}}, "supply", "doors on another supply."),
        (
            {"upses": (UPS,), "switch": {"on_ups": True, "ups": "UPS-1", "own_w": 20}, "info": {"standby_hours": 400}},
            "ups", "switches on another UPS.",
        ),
        ({"supply": False, "door": {**MAGNET, "supply": ""}, "info": {"standby_hours": 400}}, "opening", "a lock that draws less."),
    ],
)  # fmt: skip
def test_what_else_would_do_is_told_of_what_the_battery_stands_in(case, subject, way):
    """A UPS that was too small asked for doors on another supply; it feeds switches and no door."""
    (one,) = [f for f in found(**case) if f.subject_kind == subject and f.verdict == "fail"]
    assert f", or {way}" in one.remedy
