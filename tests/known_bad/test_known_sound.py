"""Sound designs over every arrangement and variant: none of them gets an error or a warning."""

from __future__ import annotations

from functools import cache

from riserkit.design import Design
from riserkit.findings import Severity
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from tests.sweep import swept

from .designs import base, cases, design_of

CASES = cases("sound")
EVERY = range(len(CASES))


@cache
def made(number: int) -> Design:
    """The design of a case by its place in the list, worked out once."""
    return design_of(CASES[number])


@swept("number", EVERY, EVERY[::2], slow=EVERY, ids=lambda number: CASES[number]["id"])
def test_known_sound(number):
    case, design = CASES[number], made(number)
    loud = [f for f in check(design) if f.is_open and f.severity is not Severity.NOTE]
    assert not [f"{f.severity} {f.rule} {f.subject}: {f.message}" for f in loud], case["why"]
    assert all(door.wiring.chosen is not None for door in design.doors)


def test_every_arrangement_is_among_them():
    chosen = {d.wiring.chosen.arrangement for n in range(len(CASES)) for d in made(n).doors[:1] if d.wiring.chosen}
    assert chosen == {a.name for a in SHIPPED_ARRANGEMENTS}


def test_every_door_that_a_bad_design_starts_from_is_among_them():
    started = {case["door"] for case in CASES}
    assert {case["door"] for case in cases("bad")} <= started | {"splitter-open", "bare"}
    assert started <= set(base()["doors"])
    assert len(CASES) >= 60
