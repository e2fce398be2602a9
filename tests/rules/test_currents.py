"""What the controller's outputs and the supplies give (common practice, no source; Class 2 after NEC chapter 9 table 11(B))."""

import pytest

from riserkit.model.parts import Controller, DcSupply
from tests.known_bad.designs import findings_of

BARE = (Controller(id="bare", kind="controller"),)
UNSOLVED = {"volts": {"lock_low_v": None, "lock_high_v": None, "lock_a": None}}

OUTPUT = [
    pytest.param({"volts": {"output_a": 0.25}}, {"verdict": "pass", "margin": 0.35}, id="within"),
    pytest.param({"volts": {"output_a": 0.6}}, {"verdict": "pass", "margin": 0}, id="at the limit"),
    pytest.param(
        {"volts": {"output_a": 0.75}},
        {"verdict": "fail", "margin": -0.15, "remedy": "carries 3.00 A, with lock power from elsewhere; or locks that draw 0.15 A"},
        id="beyond",
    ),
    pytest.param({"volts": {"output_a": 9.9}}, {"verdict": "fail", "remedy": "Locks that draw 9.30 A less."}, id="no relay"),
    pytest.param(
        {"volts": {"output_a": 0.75}, "opening": {"relay": "relay-volt"}}, {"verdict": "fail", "remedy": "relay-volt"},
        id="the opening's own relay comes first",
    ),
    pytest.param(
        {"volts": {"output_a": 0.3}, "opening": {"controller": "bare"}},
        {"verdict": "not evaluated", "remedy": "output_limit_a of bare"}, id="limit not stated",
    ),
    pytest.param(UNSOLVED, {"verdict": "not evaluated", "severity": "note", "message": "could not be solved"}, id="not solved"),
    pytest.param(
        {"wiring": {"missing": ["lock.hold_a"]}},
        {"verdict": "not evaluated", "severity": "note", "message": "lock.hold_a"}, id="data missing",
    ),
    pytest.param(
        {"wiring": {"circuit": None}},
        {"verdict": "not evaluated", "severity": "note", "message": "the door has no circuit"}, id="no wiring",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("door", "expected"), OUTPUT)
def test_output_limit(judge, door, expected):
    judge(
        "output-limit",
        {"parts": BARE, "doors": (door,)},
        {"limit": 0.6, **expected} if "margin" in expected else expected,
    )


AUXILIARY = [
    pytest.param({"volts": {"auxiliary_a": 0.1}}, {"verdict": "pass", "limit": 0.7}, id="within"),
    pytest.param({"volts": {"auxiliary_a": 0.7}}, {"verdict": "pass", "margin": 0}, id="at the limit"),
    pytest.param(
        {"volts": {"auxiliary_a": 0.82}},
        {"verdict": "fail", "margin": -0.12, "remedy": "Take 0.12 A off the output: use an outside supply of at least 0.82 A"},
        id="beyond",
    ),
    pytest.param(
        {"volts": {"auxiliary_a": 0.1}, "opening": {"controller": "bare"}},
        {"verdict": "not evaluated", "remedy": "auxiliary_limit_a"}, id="limit not stated",
    ),
    pytest.param(UNSOLVED, {"verdict": "not evaluated", "severity": "note"}, id="not solved"),
]  # fmt: skip


@pytest.mark.parametrize(("door", "expected"), AUXILIARY)
def test_auxiliary_limit(judge, door, expected):
    judge("auxiliary-limit", {"parts": BARE, "doors": (door,)}, expected)


@pytest.mark.parametrize("rule", ["output-limit", "auxiliary-limit"])
def test_an_output_that_is_not_used_has_no_limit_to_keep(findings_of, rule):
    assert findings_of(rule, {}) == []


CLOSET_SUPPLY = {"supplies": ({"id": "PS1", "part": "supply-12-3", "closet": "C1"},)}
LARGER = (DcSupply(id="supply-12-6", kind="dc-supply", output_v=12, output_a=6, tolerance=0.02),)
NO_RATING = (DcSupply(id="supply-12-3", kind="dc-supply", output_v=12),)


def on_supply(supply_a, **more):
    return {
        "volts": {"supply_a": supply_a},
        "opening": {"supply": "PS1"},
        "wiring": {"circuit": {"feed_part": "supply-12-3"}},
        **more,
    }


def by_choice(supply_a, at):
    wiring = {"chosen": {"supply_at": at}, "circuit": {"feed_part": "supply-12-3"}}
    return {"volts": {"supply_a": supply_a}, "wiring": wiring}


SUPPLY = [
    pytest.param({"doors": (on_supply(1), on_supply(1.5), {})}, {"verdict": "pass", "value": 2.5}, id="within"),
    pytest.param({"doors": (on_supply(1.5), on_supply(1.5))}, {"verdict": "pass", "margin": 0}, id="at the limit"),
    pytest.param(
        {"doors": (on_supply(2.6), on_supply(2.6))},
        {"verdict": "fail", "value": 5.2, "remedy": "A supply rated at least 5.20 A; or 1 door on another supply: 2.60 A left."},
        id="beyond",
    ),
    pytest.param(
        {"doors": (on_supply(2.6), on_supply(2.6)), "parts": LARGER},
        {"verdict": "fail", "remedy": "for example supply-12-6"}, id="a larger part is known",
    ),
    pytest.param({"doors": (by_choice(3.1, "closet C1"),)}, {"verdict": "fail", "value": 3.1}, id="chosen, not stated"),
    pytest.param(
        {"doors": (on_supply(1.0), on_supply(3.0))},
        {"verdict": "fail", "remedy": "1 door on another supply: 1.00 A left"}, id="the largest goes",
    ),
    pytest.param(
        {"doors": (on_supply(6.0),), "parts": LARGER},
        {"verdict": "fail", "remedy": "at least 6.00 A, for example supply-12-6.", "not_in_remedy": "another"}, id="just as large",
    ),
    pytest.param(
        {"doors": (on_supply(3), {**UNSOLVED, "opening": {"supply": "PS1"}})}, {"verdict": "not evaluated"},
        id="the known loads take all there is",
    ),
    pytest.param(
        {"doors": (by_choice(3.1, "door"), by_choice(2.9, "door")), "supplies": (
            {"id": "PS1", "part": "supply-12-3", "opening": "101"}, {"id": "PS2", "part": "supply-12-3", "opening": "102"})},
        {"verdict": "fail", "value": 3.1}, id="each at its own door",
    ),
    pytest.param({"doors": (by_choice(3.1, "closet C2"),)}, {"verdict": "pass", "value": 0}, id="another closet's"),
    pytest.param(
        {"doors": (on_supply(1), {**UNSOLVED, "opening": {"supply": "PS1"}})},
        {"verdict": "not evaluated", "message": "102"}, id="a load unknown",
    ),
    pytest.param(
        {"doors": (on_supply(3.1), {**UNSOLVED, "opening": {"supply": "PS1"}})},
        {"verdict": "fail", "value": 3.1}, id="too much without the unknown load",
    ),
    pytest.param(
        {"doors": (on_supply(1), {"opening": {"supply": "PS1"}})}, {"verdict": "pass", "value": 1}, id="a door that needs none"
    ),
    pytest.param({"parts": NO_RATING}, {"verdict": "not evaluated", "remedy": "output_a of supply-12-3"}, id="rating unknown"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), SUPPLY)
def test_supply_load(judge, spec, expected):
    judge("supply-load", {**CLOSET_SUPPLY, **spec}, {"subject": "PS1", "subject_kind": "supply", **expected})


def own_supply(supply_a, part):
    return {"doors": ({"volts": {"supply_a": supply_a}, "wiring": {"circuit": {"feed_part": part}}},)}


@pytest.mark.parametrize(
    ("supply_a", "part", "expected"),
    [
        (1.8, "splitter-12", {"verdict": "pass", "margin": 0}),
        (1.9, "splitter-12", {"verdict": "fail", "limit": 1.8, "remedy": "1.90 A"}),
        (0.5, "supply-12-3", {"verdict": "pass", "limit": 3.0}),
        (0.5, "no-such-part", {"verdict": "not evaluated"}),
    ],
)
def test_supply_of_one_opening(judge, supply_a, part, expected):
    judge("supply-load", own_supply(supply_a, part), {"subject": "101", **expected})


def rated(output_v, output_a, **more):
    return (DcSupply(id="own", kind="dc-supply", output_v=output_v, output_a=output_a, tolerance=0.0, **more),)


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        (rated(12, 5.0), {"verdict": "pass", "margin": 0}),
        (rated(12, 5.1), {"verdict": "fail", "severity": "note", "limit": 5.0}),
        (rated(25, 4.0), {"verdict": "pass", "margin": 0}),
        (rated(24, 4.0, float_v=27.4), {"verdict": "fail", "limit": 100 / 27.4, "severity": "note"}),
        (rated(72, 1.0), {"verdict": "not evaluated"}),
        (rated(12, None), {"verdict": "not evaluated"}),
    ],
)
def test_class_2_note(judge, parts, expected):
    spec = {"parts": parts, "supplies": ({"id": "PS1", "part": "own", "closet": "C1"},)}
    judge("supply-class-2", spec, {"subject": "PS1", **expected})


@pytest.mark.parametrize(("arrangement", "fed"), [("direct-with-peripherals", False), ("relay-external-supply", True)])
def test_a_supply_stated_and_not_used_feeds_no_door(arrangement, fed):
    """The note named a door among those that it feeds, whose wiring takes its power off the PoE cable."""
    case = {
        "layers": ["strike"],
        "opening": {"supply": "PS1", "arrangement": arrangement},
        "supplies": [{"id": "PS1", "part": "supply-12-5", "closet": "C1", "on_battery": "yes"}],
    }
    (note,) = [f for f in findings_of(case) if f.rule == "supply-class-2"]
    assert ("It feeds 101" in note.message) is fed
