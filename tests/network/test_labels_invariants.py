"""A label once issued never changes, and no two things share one, whatever is added, removed or reordered."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.model.cabling import Run
from riserkit.model.opening import Opening
from riserkit.model.place import Building, Closet, Level
from riserkit.model.power import Switch
from riserkit.model.site import Site
from riserkit.network.plan import NetworkPlan, plan_network
from riserkit.network.values import Labels
from tests.sweep import tried

from .sites import TIGHT, changed, closet, door, run

# Few names, so that a thing often goes and comes back; marks that look like labels, so that they meet them.
MARKS = [*(f"D{i}" for i in range(8)), "1A", "1B", "2A", "1-1A", "1A-A01", "d1"]
LEVELS = ("P", "Q", "R")
CLOSETS = ("C1", "C2", "C3", "C4")
SWITCHES = ("S1", "S2", "S3", "S4", "S5")


@st.composite
def tables(draw: st.DrawFn) -> dict[str, object]:
    """All tables of a site, drawn over the same few names each time."""
    several = draw(st.booleans())
    buildings = [Building(id="X"), Building(id="Y")] if several else [Building(id="X")]
    homes = st.sampled_from([b.id for b in buildings])
    levels = [Level(id=name, building=draw(homes), elevation_m=draw(st.integers(-2, 3)) * 4) for name in LEVELS]
    names = draw(st.lists(st.sampled_from(CLOSETS), min_size=1, unique=True))
    closets = [_closet(draw, name, names[:i]) for i, name in enumerate(names)]
    at = st.sampled_from(names)
    switches = [
        Switch(id=name, closet=draw(at), ports=draw(st.integers(1, 4)))
        for name in draw(st.lists(st.sampled_from(SWITCHES), unique=True))
    ]
    marks = draw(st.lists(st.sampled_from(MARKS), unique=True, max_size=9))
    openings = [_opening(draw, mark, names) for mark in marks]
    return {
        "buildings": buildings, "levels": levels, "closets": closets, "switches": switches, "openings": openings,
        "runs": _runs(draw, names, marks),
    }  # fmt: skip


def _closet(draw: st.DrawFn, name: str, before: list[str]) -> Closet:
    more = {"fed_from": draw(st.sampled_from(before))} if before and draw(st.booleans()) else {}
    return closet(name, draw(st.integers(0, 40)), 0, draw(st.sampled_from(LEVELS)), **more)


def _opening(draw: st.DrawFn, mark: str, closets: list[str]) -> Opening:
    more = {"closet": draw(st.sampled_from(closets))} if draw(st.integers(0, 4)) == 0 else {}
    return door(mark, draw(st.integers(0, 40)), 0, draw(st.sampled_from(LEVELS)), **more)


def _runs(draw: st.DrawFn, closets: list[str], marks: list[str]) -> list[Run]:
    ends = [(a, b) for i, a in enumerate(closets) for b in closets[i + 1 :]] + [(c, m) for c in closets for m in marks]
    names = draw(st.lists(st.sampled_from(["R1", "R2", "R3"]), unique=True)) if ends else []
    return [run(name, *draw(st.sampled_from(ends)), 30) for name in names]


def kinds(labels: Labels) -> Mapping[str, Mapping[str, str]]:
    return {
        "closet": labels.closet, "switch": labels.switch, "port": labels.port, "cable": labels.cable,
        "opening": labels.opening,
    }  # fmt: skip


def check_steps(steps: list[dict[str, object]]) -> list[NetworkPlan]:
    """Build each state of the site with the record of the one before; check what must hold after each."""
    plans: list[NetworkPlan] = []
    for step in steps:
        record = plans[-1].labels.issued if plans else ()
        one = Site.model_validate({"info": TIGHT, **step, "issued_labels": record})
        plan = plan_network(one)
        known = {(i.kind, i.subject): i.label for i in record}
        every = [(k, s, text) for k, table in kinds(plan.labels).items() for s, text in table.items()]
        for kind, subject, text in every:
            assert text == known.get((kind, subject), text)
        gone = {
            text.casefold()
            for (k, s), text in known.items()
            if (k != "port" or ":" in s) and s not in kinds(plan.labels)[k]
        }
        assert not gone & {text.casefold() for *_, text in every}
        assert len({text.casefold() for *_, text in every}) == len(every)
        assert plan.labels.clashes == ()
        again = plan_network(changed(one, issued_labels=plan.labels.issued))
        assert again.labels == plan.labels
        assert again.placements == plan.placements
        plans.append(plan)
    return plans


@given(st.lists(tables(), min_size=2, max_size=4))
@settings(max_examples=tried(60, 150), deadline=None)
@pytest.mark.slow
def test_issued_labels_hold_through_any_changes(steps: list[dict[str, object]]) -> None:
    check_steps(steps)


@given(tables(), st.permutations(MARKS), st.sets(st.sampled_from(MARKS)))
@settings(max_examples=tried(60, 150), deadline=None)
def test_doors_that_stay_keep_port_and_labels(first: dict[str, object], order: list[str], absent: set[str]) -> None:
    openings = {o.mark: o for o in first["openings"]}  # type: ignore[attr-defined]
    stay = [openings.get(mark, door(mark, 0, 0, "P")) for mark in order if mark not in absent]
    before, after = check_steps([first, first | {"openings": stay, "runs": []}])
    for mark in openings.keys() - absent:
        if mark in before.placements and before.placements[mark].port and not first["runs"]:
            assert after.placements[mark] == before.placements[mark]


@given(tables(), st.sampled_from(["NEW", "ZZ9"]))
@settings(max_examples=tried(40, 100), deadline=None)
def test_a_door_added_at_the_end_moves_none_even_without_a_record(first: dict[str, object], mark: str) -> None:
    more = [*first["openings"], door(mark, 20, 0, "Q")]  # type: ignore[misc]
    before, after = (
        plan_network(Site.model_validate({"info": TIGHT, **first, "openings": openings}))
        for openings in (first["openings"], more)
    )
    for old in before.placements:
        assert after.placements[old] == before.placements[old]
        assert after.labels.cable[old] == before.labels.cable[old]
        assert after.labels.opening[old] == before.labels.opening[old]
