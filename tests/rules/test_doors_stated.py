"""What was never asked of a door: a reader to get in by, the second leaf, a lock within reach, a latch in a fire, its place."""

import math

import pytest

from riserkit.drawings.door.opening_words import hardware_words
from riserkit.findings import Severity, Verdict
from riserkit.model.problems import InputError
from riserkit.rules._shared import door_changes
from riserkit.rules._shared.evaluate import check

PASS, FAIL, OPEN = Verdict.PASS, Verdict.FAIL, Verdict.NOT_EVALUATED
STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "free_egress_hardware": True}
SAFE = {"lock": "strike-12-safe", "egress": "none"}
MAGNET = {"lock": "magnet-12-300", "egress": "none"}
READER = {
    "id": "reader-entry",
    "kind": "reader",
    "rated_v": 12,
    "draw_a": 0.08,
    "tolerance_low": 0.15,
    "tolerance_high": 0.15,
}
NO_BUS = {"id": "no-bus", "kind": "controller", "poe_class": 4, "own_w": 4, "output_v": 12, "output_limit_a": 0.6,
          "auxiliary_v": 12, "auxiliary_limit_a": 0.7, "has_reader": False}  # fmt: skip
SETTABLE = {
    "id": "settable",
    "kind": "strike",
    "rated_v": 12,
    "hold_a": 0.25,
    "tolerance_low": 0.15,
    "tolerance_high": 0.1,
}


def said(site_of, rule, *openings):
    made = site_of(*openings, parts=(READER, NO_BUS, SETTABLE))
    return [f for f in check(made) if f.rule == rule]


CASES = [
    ("entry-reader", STRIKE, PASS, None),
    ("entry-reader", {**STRIKE, "controller_at": "secured"}, FAIL, Severity.ERROR),
    ("entry-reader", {**STRIKE, "controller": "controller-box"}, FAIL, Severity.ERROR),
    ("entry-reader", {**STRIKE, "controller_at": "secured", "reader_in": "reader-entry"}, PASS, None),
    ("entry-reader", {**STRIKE, "controller_at": "secured", "reader_out": "reader-entry"}, FAIL, Severity.ERROR),
    ("entry-reader", {**STRIKE, "controller_at": "secured", "entry": "remote"}, PASS, None),
    ("entry-reader", {**STRIKE, "controller": "controller-box", "entry": "key"}, PASS, None),
    ("second-leaf", {**MAGNET, "type": "double"}, FAIL, Severity.ERROR),
    ("second-leaf", {**MAGNET, "type": "double", "lock_count": 2}, PASS, None),
    ("second-leaf", {**STRIKE, "lock_count": 2}, FAIL, Severity.WARNING),
    ("second-leaf", {**STRIKE, "lock": "latch-24", "type": "double", "inactive_leaf": "automatic-bolts"}, PASS, None),
    ("clear-width", {**STRIKE, "clear_width_m": "32 in"}, PASS, None),
    ("clear-width", {**STRIKE, "clear_width_m": "31.9 in"}, FAIL, Severity.WARNING),
    ("clear-width", {**STRIKE, "width_m": "31.9 in"}, FAIL, Severity.WARNING),
    ("clear-width", {**STRIKE, "width_m": "32 in"}, OPEN, Severity.WARNING),
    ("clear-width", {**STRIKE, "width_m": "34 in"}, PASS, None),
    ("clear-width", {**STRIKE, "type": "double", "width_m": 1.4}, OPEN, Severity.WARNING),
    ("clear-width", {**STRIKE, "type": "double", "leaf_width_m": 0.7}, FAIL, Severity.WARNING),
    ("lock-accessible", {**STRIKE, "type": "gate"}, OPEN, Severity.WARNING),
    ("lock-accessible", {**STRIKE, "type": "gate", "lock_accessible": False}, PASS, None),
    ("lock-accessible", {**STRIKE, "lock_accessible": True}, FAIL, Severity.WARNING),
    ("lock-accessible", {**STRIKE, "lock_accessible": True, "lock_wiring_secured": True}, FAIL, Severity.ERROR),
    ("fire-door-latching", {**SAFE, "fire_rating_min": "1-1/2 h"}, FAIL, Severity.ERROR),
    ("fire-door-latching", {**SAFE, "fire_rating_min": 0}, PASS, None),
    ("fire-door-latching", SAFE, OPEN, Severity.WARNING),
    ("fire-door-latching", {**STRIKE, "fire_rating_min": 90}, PASS, None),
    ("fire-door-latching", {**STRIKE, "lock": "settable", "fail_mode": "fail-safe", "fire_rating_min": 20}, FAIL, Severity.ERROR),
    ("fire-door-latching", {**STRIKE, "lock": "settable", "fail_mode": "fail-secure", "fire_rating_min": 20}, PASS, None),
    ("fire-door-latching", {**MAGNET, "fire_rating_min": 45}, OPEN, Severity.WARNING),
    ("fire-door-latching", {**MAGNET, "fire_rating_min": 45, "latching_hardware": False}, FAIL, Severity.ERROR),
    ("fire-door-latching", {**MAGNET, "fire_rating_min": 45, "latching_hardware": True}, PASS, None),
    ("fire-door-latching", {**MAGNET, "fire_rating_min": 0}, PASS, None),
    ("fire-door-latching", MAGNET, OPEN, Severity.WARNING),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "opening", "verdict", "severity"), CASES)
def test_rule(site_of, rule, opening, verdict, severity):
    (found,) = said(site_of, rule, opening)
    assert found.verdict is verdict
    assert found.source
    assert (found.remedy == "") is (severity is None)
    if severity is not None:
        assert found.severity is severity


@pytest.mark.parametrize(("rule", "opening"), [("second-leaf", STRIKE), ("lock-accessible", STRIKE), ("fire-door-latching", STRIKE),
                                               ("clear-width", STRIKE), ("clear-width", {**SAFE, "width_m": 0.6}), ("interlock", STRIKE),
                                               ("part-temperature", STRIKE),
                                               ("entry-reader", {**STRIKE, "controller": ""})])  # fmt: skip
def test_a_rule_keeps_silent_where_nothing_is_asked(site_of, rule, opening):
    assert said(site_of, rule, opening) == []


def test_the_reader_to_add_comes_with_a_controller_that_has_a_bus(site_of):
    (with_bus,) = said(site_of, "entry-reader", {**STRIKE, "controller": "controller-box"})
    (without,) = said(site_of, "entry-reader", {**STRIKE, "controller": "no-bus"})
    assert "bus" not in with_bus.remedy
    assert "a controller with a reader bus" in without.remedy


@pytest.mark.parametrize(
    ("rating_min", "remarks", "asked"),
    [
        (90, "self closer removed; 30 min rating plate", ["closing", "rating in remarks"]),
        (30, "30 min rating plate on the hinge edge", []),
        (None, "Label: 20-minute label", ["rating in remarks"]),
        (0, "door held open by magnet during service", []),
        (90, "door held open by magnet during service", ["closing"]),
        (90, "hold-open magnets released by smoke detectors", []),
        (90, "closer adjusted, opens within 30 min of the bell", []),
    ],
)
def test_remarks_that_speak_against_a_fire_door_are_asked(site_of, rating_min, remarks, asked):
    stated = {} if rating_min is None else {"fire_rating_min": rating_min}
    found = said(site_of, "fire-door-latching", {**STRIKE, **stated, "remarks": remarks})
    told = [f for f in found if f.about in ("closing", "rating in remarks")]
    assert [f.about for f in told] == asked
    assert all(f.verdict is OPEN and f.remedy for f in told)


PAIR = {**STRIKE, "type": "double"}


@pytest.mark.parametrize(
    ("opening", "verdict"),
    [
        ({"inactive_leaf": "automatic-bolts"}, OPEN),
        ({"inactive_leaf": "automatic-bolts", "mullion": True}, PASS),
        ({"inactive_leaf": "automatic-bolts", "mullion": False}, PASS),
        ({"lock_count": 2}, OPEN),
        ({"lock_count": 2, "mullion": True}, PASS),
        ({"lock_count": 2, "mullion": False}, FAIL),
    ],
)
def test_a_strike_of_a_pair_stands_in_something(site_of, opening, verdict):
    """Between two leaves there is no frame: what its paper calls so is a mullion, or the inactive leaf."""
    found = {f.about: f.verdict for f in said(site_of, "second-leaf", {**PAIR, **opening})}
    assert found == {"": PASS, "strike": verdict}


def test_a_mullion_is_stated_of_pairs_only(site_of):
    with pytest.raises(InputError, match="column mullion: saw 'yes'; expected no, or none"):
        site_of({**STRIKE, "mullion": True})
    assert "mullion" not in hardware_words(site_of({**STRIKE, "mullion": False}).doors[0].opening)


@pytest.mark.parametrize(
    ("opening", "verdict"),
    [
        ({**PAIR, "fire_rating_min": 30, "inactive_leaf": "manual-bolts"}, FAIL),
        ({**PAIR, "fire_rating_min": 30, "inactive_leaf": "automatic-bolts"}, PASS),
        ({**PAIR, "fire_rating_min": 30, "inactive_leaf": "exit-device"}, PASS),
        ({**PAIR, "fire_rating_min": 30, "lock_count": 2}, None),
        ({**PAIR, "fire_rating_min": 0, "inactive_leaf": "manual-bolts"}, None),
        ({**PAIR, "inactive_leaf": "manual-bolts"}, OPEN),
        ({**PAIR, "inactive_leaf": "automatic-bolts"}, None),
    ],
)
def test_a_rated_pair_latches_both_leaves(site_of, opening, verdict):
    """Bolts that somebody sets by hand leave a fire door of two leaves unlatched once they are drawn."""
    found = [f for f in said(site_of, "fire-door-latching", opening) if f.about == "inactive leaf"]
    assert [f.verdict for f in found] == ([] if verdict is None else [verdict])
    for one in found:
        assert one.severity is (Severity.WARNING if verdict is OPEN else Severity.ERROR)


@pytest.mark.parametrize(
    ("rule", "opening"),
    [
        ("release-on-fire-alarm", {**STRIKE, "fire_alarm_release": True, "fire_relay": "fire-relay"}),
        ("free-egress-mechanical", {**STRIKE, "free_egress_hardware": False}),
        ("no-way-out", {**STRIKE, "egress": "none", "free_egress_hardware": False, "rex": "rex-motion"}),
    ],
)
def test_no_remedy_sends_a_fire_door_to_a_lock_that_lets_its_latch_go(site_of, rule, opening):
    def remedies(**more):
        return " ".join(f.remedy for f in said(site_of, rule, {**opening, **more}))

    assert "a fail-safe lock" in remedies(fire_rating_min=0)
    assert "a fail-safe electrified latch or exit device" in remedies(fire_rating_min=90)
    assert "a fail-safe lock" not in remedies(fire_rating_min=90)


@pytest.mark.parametrize("fastened", [{"inactive_leaf": "automatic-bolts"}, {"lock_count": 2}])
def test_each_leaf_of_a_pair_has_a_contact_of_its_own(site_of, fastened):
    def contacts(opening):
        circuit = site_of(opening).doors[0].wiring.circuit
        return [c for c in circuit.netlist.components if c.part == "contact-reed"]

    assert len(contacts(STRIKE)) == 1
    assert len(contacts({**STRIKE, "type": "double", **fastened})) == 2


def test_a_lock_within_reach_is_attacked_by_its_own_wires(site_of):
    """With everything else secured, only the lock stands within reach."""
    inside = {**STRIKE, "controller_at": "secured", "reader_in": "reader-entry", "lock_wiring_secured": True}
    (secured,) = said(site_of, "tamper", inside)
    (reached,) = said(site_of, "tamper", {**inside, "lock_accessible": True})
    assert (secured.verdict, reached.verdict) == (PASS, FAIL)


@pytest.mark.parametrize(
    ("opening", "column"),
    [
        ({"inactive_leaf": "manual-bolts"}, "inactive_leaf"),
        ({"type": "double", "lock_count": 2, "inactive_leaf": "manual-bolts"}, "inactive_leaf"),
        ({"fire_rating_min": "B label"}, "fire_rating_min"),
        ({"fire_rating_min": "11/2 h"}, "fire_rating_min"),
    ],
)
def test_what_cannot_be_is_a_problem_of_the_input(site_of, opening, column):
    with pytest.raises(InputError, match=column):
        site_of({**STRIKE, **opening})


def geometry(site_of, *openings):
    return {(f.subject, f.about): f for f in said(site_of, "implausible-geometry", *openings)}


def test_plausible_places_pass(site_of):
    found = geometry(site_of, STRIKE, {**STRIKE, "x_m": 1.3})
    assert [f.verdict for f in found.values()] == [PASS]


def test_two_openings_on_one_spot_are_questioned(site_of):
    found = geometry(site_of, STRIKE, {**STRIKE, "x_m": 1.2})
    assert found["102", "same spot"].severity is Severity.WARNING
    assert "101" in found["102", "same spot"].message


@pytest.mark.parametrize(("x_m", "questioned"), [(500, False), (500.1, True), (10_000, True)])
def test_an_opening_far_from_everything_is_questioned(site_of, x_m, questioned):
    found = geometry(site_of, STRIKE, {**STRIKE, "x_m": x_m, "y_m": 0})
    assert (("102", "distance") in found) is questioned
    if questioned:
        assert found["102", "distance"].value == pytest.approx(x_m)


@pytest.mark.parametrize(
    ("change", "about", "severity"),
    [
        ({"width_m": 0.001}, "leaf", Severity.ERROR),
        ({"width_m": 0.4}, "leaf", None),
        ({"leaf_width_m": 2.01}, "leaf", Severity.WARNING),
        ({"leaf_width_m": 2}, "leaf", None),
        ({"name": "Sliding door", "width_m": 6}, "leaf", None),
        ({"name": "Sliding door", "width_m": 6.1}, "leaf", Severity.WARNING),
        ({"type": "gate", "width_m": 8, "lock_accessible": False}, "leaf", None),
        ({"type": "gate", "height_m": 0.8, "lock_accessible": False}, "height", None),
        ({"type": "gate", "height_m": 0.79, "lock_accessible": False}, "height", Severity.ERROR),
        ({"height_m": 0.8}, "height", Severity.ERROR),
        ({"height_m": 0.2}, "height", Severity.ERROR),
        ({"height_m": 1.5}, "height", None),
        ({"height_m": 6.1}, "height", Severity.WARNING),
    ],
)
def test_sizes_that_no_door_has_are_questioned(site_of, change, about, severity):
    found = geometry(site_of, {**STRIKE, **change})
    assert (found["101", about].severity if ("101", about) in found else None) is severity


def test_two_levels_at_one_elevation_are_questioned(build):
    design = build({})
    (level,) = design.site.levels
    for building, verdict in (("", FAIL), ("EAST", PASS)):
        twin = level.model_copy(update={"id": "L2", "building": building})
        object.__setattr__(design, "site", design.site.model_copy(update={"levels": (level, twin)}))
        (found,) = [f for f in check(design) if f.rule == "implausible-geometry"]
        assert found.verdict is verdict


def test_a_closet_far_from_everything_is_questioned(build):
    design = build({"closets": ({"id": "C1"}, {"id": "C2", "x_m": 9_000.0})})
    found = [f for f in check(design) if f.rule == "implausible-geometry"]
    assert [(f.subject_kind, f.subject) for f in found] == [("closet", "C2")]
    assert found[0].value == pytest.approx(math.dist((9_000, 0), (10, 0)))


@pytest.mark.parametrize(
    ("stated", "words"),
    [
        ({"secured_side": "Cold store"}, "Cold store"),
        ({"unsecured_side": "Kühlraum 2"}, "Kühlraum"),
        ({"remarks": "inside at -5 C; box heater by others"}, "-5 C"),
        ({"name": "Boiler room"}, "Boiler room"),
        ({"remarks": "up to 45 °C in summer"}, "45 °C"),
        ({"name": "Lab 3 C", "remarks": "hardware set HW-2; opens 90°"}, ""),
        ({"secured_side": "Cold store", "coldest_c": -5, "hottest_c": 20, "controller_at": "secured"}, ""),
    ],
)
def test_a_space_that_is_named_cold_or_hot_is_asked_for_its_temperatures(site_of, stated, words):
    found = [f.message for f in said(site_of, "part-temperature", {**STRIKE, **stated}) if "is named" in f.message]
    assert found == (
        [f"{words!r} is named; how cold and how hot the air gets at the opening is not stated."] if words else []
    )


def test_temperatures_are_told_in_the_units_of_the_site(site_of):
    cold = {**STRIKE, "coldest_c": -45, "hottest_c": 20}
    for units, seen in (("metric", "-45 °C"), ("imperial", "-49 °F")):
        made = site_of(cold, unit_system=units)
        messages = [f.message for f in check(made) if f.rule == "part-temperature"]
        assert any(f"gets to {seen}" in message for message in messages)
        assert any(f"The coldest air at the opening is {seen}" in message for message in messages)


@pytest.mark.parametrize(
    ("stated", "told"),
    [
        ({"remarks": "Frameless glass without header; no drilling"}, "remarks say 'Frameless glass without header'; what"),
        ({"remarks": "Existing; no header"}, "remarks say 'no header'"),
        ({"name": "All-glass entrance"}, "name says 'All-glass entrance'"),
        ({"remarks": "Ganzglastür", "contact": ""}, "what magnet-12-300 is fixed to"),
        ({"remarks": "frameless", "lock": "latch-24", "contact": ""}, ""),
        ({"remarks": "no frame changes; no headers to be cut; vision glass"}, ""),
    ],
)  # fmt: skip
def test_a_door_without_a_frame_is_asked_what_its_parts_are_fixed_to(site_of, stated, told):
    """Sheets said "in the frame" and "door head" of a door that has neither."""
    found = said(site_of, "lock-fixing", {**MAGNET, "contact": "contact-reed", **stated})
    assert [f.verdict for f in found] == ([OPEN] if told else [])
    assert all(told in f.message and "bracket" in f.remedy for f in found)


OPERATOR = {
    "id": "operator", "kind": "electrified-latch", "action": "fail-secure", "rated_v": 24, "hold_a": 0.01, "pull_in_a": 0.01,
    "tolerance_low": 0.2, "tolerance_high": 0.2, "own_supply": True, "suppressor_fitted": True,
}  # fmt: skip
LATCH = {"lock": "operator", "egress": "none", "controller": "controller-c4", "contact": "contact-reed"}


@pytest.mark.parametrize(
    ("door", "part", "told"),
    [
        ({"name": "Dock 1 shutter"}, {}, "Its name says 'shutter'; operator is drawn in a leaf"),
        ({"remarks": "Bi-parting slider"}, {}, "Its remarks say 'slider'"),
        ({}, {"title": "Tripod turnstile, release input"}, "Title of operator says 'Tripod'"),
        ({"name": "Rolltor Anlieferung"}, {}, "'Rolltor'"),
        ({"name": "Dock 1 shutter"}, {"in_leaf": False}, ""),
        ({"name": "Slide gate latch", "remarks": "wicket in the roller shutter"}, {"in_leaf": True}, ""),
        ({"name": "Store"}, {}, ""),
    ],
)  # fmt: skip
def test_a_latch_where_nothing_turns_on_hinges_is_asked_whether_it_is_in_a_leaf(site_of, door, part, told):
    """A turnstile was drawn with a power transfer at hinges that it does not have."""
    made = site_of({**LATCH, **door}, parts=({**OPERATOR, **part},))
    found = [f for f in check(made) if f.rule == "lock-fixing"]
    assert [f.verdict for f in found] == ([OPEN] if told else [])
    assert all(told in f.message and "State in_leaf of operator" in f.remedy for f in found)


def test_no_other_lock_is_asked_whether_it_is_in_a_leaf(site_of):
    assert not said(site_of, "lock-fixing", {**MAGNET, "name": "Sliding door"})


@pytest.mark.parametrize("in_leaf", [None, True, False])
def test_a_lock_that_is_in_no_leaf_has_no_wires_over_hinges(site_of, in_leaf):
    own = {"latch_contact": "bolt", "contact_when_secured": "closed", "contact_a": 0.25, "contact_v": 30}
    stated = {} if in_leaf is None else {"in_leaf": in_leaf}
    made = site_of(LATCH, parts=({**OPERATOR, **own, **stated},))
    netlist = made.doors[0].wiring.netlist
    transfers = [c for c in netlist.components if c.part == "hinge-transfer"]
    roles = [cable.role for cable in netlist.cables]
    assert (len(transfers), roles.count("leaf"), roles.count("lock")) == ((0, 0, 1) if in_leaf is False else (1, 1, 1))
    contact = [f for f in check(made) if f.rule == "lock-contact"]
    assert [f.verdict for f in contact] == ([PASS] if in_leaf is False else [FAIL])


def test_a_supply_that_comes_with_a_lock_is_an_exit_devices_only_where_it_is_one(site_of):
    names = {"latch": "Lock's own supply", "exit": "Exit device's own supply"}
    kinds = {"latch": "electrified-latch", "exit": "electrified-exit-device"}
    for key, name in names.items():
        made = site_of(LATCH, parts=({**OPERATOR, "kind": kinds[key]},))
        door = made.doors[0]
        assert door.wiring.netlist.component("G1").title == name
        assert f"The {name[0].lower()}{name[1:]} and its mains" in " ".join(door.wiring.circuit.notes)
        assert [d.what for d in door.wiring.voltages.devices if "trigger" in d.what] == [
            f"{name.replace(' own', '').lower()}, trigger input"
        ]


@pytest.mark.parametrize("kind", ["strike", "electromagnetic-lock"])
def test_a_strike_or_magnet_states_no_in_leaf(site_of, kind):
    with pytest.raises(InputError, match="electrified latch or exit device alone"):
        site_of(LATCH, parts=({**OPERATOR, "kind": kind, "in_leaf": False},))


def test_the_current_of_a_dry_input_is_not_what_a_lock_draws(site_of):
    """The check asked for the unit of 10 mA, which was the current of the input and right."""
    for own, told in ((True, "not the current of its dry input"), (False, "")):
        made = site_of(LATCH, parts=({**OPERATOR, "own_supply": own},))
        asked = [f for f in check(made) if f.rule == "implausible-data"]
        assert {f.about for f in asked} == {"hold_a of operator", "pull_in_a of operator"}
        assert all((told in f.remedy) if told else f.remedy.endswith("and its unit.") for f in asked)


@pytest.mark.parametrize("volts", [12, 24])
def test_the_remedy_of_a_fire_door_names_a_latch_of_its_strikes_voltage(site_of, volts):
    made = site_of({"lock": f"strike-{volts}-safe", "fail_mode": "fail-safe", "fire_rating_min": 90, "egress": "stair"})
    (found,) = (f for f in check(made) if f.rule == "fire-door-latching" and f.is_open)
    assert f"exit device (latch-{volts}-safe is one), whose latch" in found.remedy


def test_no_remedy_names_the_lock_of_a_turnstile_for_a_door(site_of):
    """A stair's door was advised the lock of a sliding door's operator, since that is fail-safe and in the parts list."""
    door = {"lock": "strike-24-safe", "egress": "mechanical", "free_egress_hardware": True, "fire_rating_min": 90,
            "latching_hardware": True, "fail_mode": "fail-safe"}  # fmt: skip
    for part, named in (
        ({"title": "Mortise lock"}, True),
        ({"title": "Lock of the sliding door operator"}, False),
        ({"title": "Mortise lock", "in_leaf": False}, False),
    ):
        made = site_of(door, parts=({**OPERATOR, "id": "aaa", "action": "fail-safe", **part},))
        (found,) = [f for f in check(made) if f.rule == "fire-door-latching" and f.verdict is FAIL]
        assert ("aaa is one" in found.remedy) is named


@pytest.mark.parametrize(
    ("of_door", "of_other", "tried"), [(True, True, True), (True, False, False), (False, False, True)]
)
def test_no_change_puts_the_lock_of_a_turnstile_into_a_door(site_of, of_door, of_other, tried):
    mine = {**OPERATOR, "hold_a": 0.2, "pull_in_a": 0.2, "in_leaf": of_door}
    other = {**mine, "id": "other", "rated_v": 12, "hold_a": 0.4, "pull_in_a": 0.4, "in_leaf": of_other}
    made = site_of(LATCH, parts=(mine, other))
    words = [change.words for change in door_changes._locks(made, made.doors[0])]
    assert any("other" in text for text in words) is tried
