"""Runs that contradict each other, or that are no cable, are problems of the input with both rows."""

from __future__ import annotations

import pytest

from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

CLOSETS = [{"id": f"C{k}", "level": "L1", "x_m": 0, "y_m": 0} for k in (1, 2)]
SUPPLIES = [{"id": "PS1", "part": "supply-12-3", "closet": "C1"}, {"id": "PS2", "part": "supply-12-3", "closet": "C2"}]


def _site(*runs: dict[str, object], **door: object) -> Site:
    tables = {
        "levels": [{"id": "L1", "elevation_m": 0}],
        "closets": CLOSETS,
        "supplies": SUPPLIES,
        "openings": [{"mark": mark, "level": "L1", "x_m": 0, "y_m": 0, **door} for mark in ("1", "2")],
        "runs": [{"id": f"R{number}", **run} for number, run in enumerate(runs, 1)],
    }
    rows = {t: [RawRecord(v, Where(f"{t}.csv", n)) for n, v in enumerate(rs, 2)] for t, rs in tables.items()}
    return assemble_site(RawSite(None, rows))


def _problems(*runs: dict[str, object], **door: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        _site(*runs, **door)
    return [str(problem) for problem in caught.value.problems]


def run(a: str, b: str, length_m: float | None = None, **more: object) -> dict[str, object]:
    return {"from_end": a, "to_end": b, **({} if length_m is None else {"length_m": length_m}), **more}


@pytest.mark.parametrize("lengths_m", [(30, 120), (120, 30)])
def test_two_lengths_for_one_cable_are_refused_whichever_comes_first(lengths_m: tuple[float, float]) -> None:
    first, second = lengths_m
    (told,) = _problems(run("C1", "1", first), run("1/controller", "C1", second))
    assert told.startswith("runs.csv, row 3, column length_m")
    assert str(second) in told
    assert f"runs.csv, row 2 has this cable with {first}" in told


def test_two_lengths_for_a_cable_at_the_door_are_refused() -> None:
    (told,) = _problems(run("1/controller", "1/lock", 5), run("1/lock", "1", 50))
    assert "row 3" in told
    assert "row 2 has this cable with 5" in told


def test_lock_power_from_a_closet_stated_twice_is_refused() -> None:
    (told,) = _problems(run("C1", "1/supply", 20), run("C1", "1/supply", 40))
    assert "row 2 has this cable with 20" in told


def test_two_types_for_one_cable_are_refused() -> None:
    runs = (run("C1", "1", 30, cable_type="cat6"), run("C1", "1", 33, cable_type="cat5e", basis="measured"))
    (told,) = _problems(*runs)
    assert "column cable_type: saw 'cat5e'" in told
    assert "row 2 says cat6" in told


def test_a_measured_run_may_stand_beside_the_stated_one_that_it_replaces() -> None:
    assert len(_site(run("C1", "1", 30, cable_type="cat6"), run("C1", "1", 33, basis="measured")).runs) == 2


def test_several_cables_between_closets_are_no_conflict() -> None:
    assert len(_site(run("C1", "C2", 30), run("C1", "C2", 40)).runs) == 2


def test_cables_from_two_closets_ask_which_one_the_opening_is_on() -> None:
    runs = (run("C1", "1", 30), run("C2", "1", 120))
    (told,) = _problems(*runs)
    assert "row 3, column from_end: saw 'C2'" in told
    assert "row 2 has a cable to it from C1" in told
    assert _site(*runs, closet="C1")


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("1/contact", "1/rex"),
        ("1", "2"),
        ("1/controller", "2/controller"),
        ("1/lock", "2/lock"),
        ("1/controller", "2/lock"),
        ("C1", "1/lock"),
        ("PS1", "1"),
        ("PS1", "PS2"),
        ("PS1", "C1"),
        ("1", "1/controller"),
    ],
)
def test_ends_between_which_no_cable_goes_are_refused(a: str, b: str) -> None:
    (told,) = _problems(run(a, b, 10), contact="contact-reed", rex="rex-motion")
    assert told.startswith("runs.csv, row 2, column to_end")
    assert f"none goes from '{a}' to here" in told or f"none goes from {a} to here" in told


@pytest.mark.parametrize(
    ("device", "stated"),
    [
        ("lock2", {"lock_count": 2, "type": "double"}),
        ("contact", {"contact": "contact-reed"}),
        ("rex", {"rex": "rex-motion"}),
        ("rex", {"rex_aux_input": "auxiliary"}),
        ("reader", {"reader_out": "reader-out"}),
        ("release", {"release": "release-30"}),
        ("fire", {"fire_alarm_release": True}),
    ],
)
def test_a_cable_to_a_device_that_the_opening_does_not_have_is_refused(device: str, stated: dict[str, object]) -> None:
    one = run("1/controller", f"1/{device}", 10)
    (told,) = _problems(one)
    assert "row 2, column to_end" in told
    assert "expected a cable that opening 1 has" in told
    assert _site(one, **stated)


def test_lock_power_comes_from_the_supply_that_feeds_the_opening() -> None:
    assert _site(run("PS1", "1/supply", 10), supply="PS1")
    assert _site(run("C1", "1/supply", 10), supply="PS1")
    (told,) = _problems(run("PS2", "1/supply", 10), supply="PS1")
    assert "expected lock power from supply PS1" in told
