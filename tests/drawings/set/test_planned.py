"""Plans that an earlier build laid out: not laid out again, drawn alike, and laid out anew for every edit that shows."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import ezdxf
import pytest

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.set import planned
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.findings import Finding
from riserkit.kept import KeptWork
from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.plugin.read import read_site
from riserkit.rules._shared.evaluate import check
from tests.results.test_kept import FIRST_LOOK
from tests.sweep import swept

ASKED = SetOptions(riser=False, doors=False)


@pytest.fixture
def laid_out(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Takes note of every time that plans are laid out."""
    found: list[object] = []
    whole = planned.plan_floor_plans

    def noted(*asked: Any, **more: Any) -> Any:
        found.append(asked)
        return whole(*asked, **more)

    monkeypatch.setattr(planned, "plan_floor_plans", noted)
    return found


def _jobs(
    site: Site, kept: KeptWork, findings: Sequence[Finding] | None = None, asked: SetOptions = ASKED
) -> list[SheetJob]:
    made = replace(design(site), kept=kept)
    return list(plan_set(Checked(made, check(made) if findings is None else findings), asked))


def _said(jobs: Sequence[SheetJob]) -> list[tuple[str, ...]]:
    return [(job.sheet_id, job.title, job.on_record, job.inputs) for job in jobs]


def test_plans_that_are_the_same_are_laid_out_only_to_be_drawn_and_then_once(laid_out):
    site, first = read_site(FIRST_LOOK), KeptWork()
    before = _jobs(site, first)
    assert len(laid_out) == 1
    second = KeptWork(first.entries)
    again = _jobs(site, second)
    assert len(laid_out) == 1
    assert _said(again) == _said(before)
    assert second.entries == first.entries, "labels by which they were laid out stay for the build after"
    for one, other in zip(before, again, strict=True):
        assert one.draw().to_bytes() == other.draw().to_bytes()
        other.draw()
    assert [job.kind for job in again].count("plan") == 1
    assert len(laid_out) == 2


EDITS: dict[str, Callable[[Site], Site]] = {
    "an opening's place": lambda site: site.with_changes(openings={"2": {"x_m": "12.5"}}),
    "an opening on HOLD": lambda site: site.with_changes(
        openings={"1": {"lock": "strike-12-heavy", "lock_count": "2"}}
    ),
    "a device": lambda site: site.with_changes(openings={"1": {"rex": ""}}),
    "a closet": lambda site: site.with_changes(closets={"TR-1": {"x_m": "3"}}),
    "a pathway": lambda site: site.with_changes(pathway_nodes={"N2": {"y_m": "6.5"}}),
    "a wall": lambda site: site.with_changes(
        walls=[{"level": "L1", "outline_wkt": "POLYGON ((6 3, 13.5 3, 13.5 5.8, 6 5.8, 6 3))"}]
    ),
    "a level's name": lambda site: site.with_changes(levels={"L1": {"name": "Yard"}}),
    "the scale": lambda site: site.with_changes(info={"plan_scale": 75}),
    "the owner": lambda site: site.with_changes(info={"owner": "Potter's Lane Trust"}),
    "the units": lambda site: site.with_changes(info={"unit_system": "imperial"}),
    "a number on record": lambda site: site.model_copy(
        update={"issued_labels": (IssuedLabel(kind="sheet", subject="plan L1 1", label="T-107"),)}
    ),
}


@swept("edit", EDITS, ("an opening's place", "a wall", "the owner", "a number on record"), slow=EDITS)
def test_every_edit_that_shows_lays_the_plans_out_anew(laid_out, edit):
    site, kept = read_site(FIRST_LOOK), KeptWork()
    before = _jobs(site, kept)
    changed = EDITS[edit](site)
    again, anew = _jobs(changed, KeptWork(kept.entries)), _jobs(changed, KeptWork())
    assert len(laid_out) == 3
    assert _said(again) == _said(anew)
    plans = [[said for said in _said(jobs) if said[0].startswith("T-1")] for jobs in (before, again)]
    assert plans[0] != plans[1]


def test_an_edit_that_no_plan_shows_lays_none_out(laid_out):
    site, kept = read_site(FIRST_LOOK), KeptWork()
    _jobs(site, kept)
    changed = site.with_changes(openings={"1": {"remarks": "Paint last."}})
    assert changed != site
    _jobs(changed, KeptWork(kept.entries))
    assert len(laid_out) == 1


def test_a_background_that_was_changed_lays_the_plans_out_anew(laid_out, tmp_path):
    folder = tmp_path / "site"
    shutil.copytree(FIRST_LOOK, folder)
    levels = (folder / "levels.csv").read_text("utf-8").splitlines()
    rows = [f"{levels[0]},background,background_scale", *(f"{row},plan.dxf,1" for row in levels[1:])]
    (folder / "levels.csv").write_text("\n".join(rows) + "\n", "utf-8")
    asked = replace(ASKED, info=DrawingInfo(background_folder=folder))
    kept = KeptWork()
    for end, count in (((9, 9), 1), (None, 1), ((9, 8), 2)):
        if end is not None:
            doc = ezdxf.new(setup=True)
            doc.modelspace().add_line((1, 1), end)
            doc.saveas(folder / "plan.dxf")
        _jobs(read_site(folder), kept, asked=asked)
        assert len(laid_out) == count
        kept = KeptWork(kept.entries)


def test_a_date_stated_as_the_one_that_stands_for_none_is_another_sheet():
    """It is drawn, and the stand-in is not: every sheet of the set changes."""
    site = read_site(FIRST_LOOK)
    info = site.info.model_copy(update={"issue_date": type(site.info).model_fields["issue_date"].default})
    unstated = type(info)(**{name: getattr(info, name) for name in info.model_fields_set - {"issue_date"}})
    stated = type(info)(**{name: getattr(info, name) for name in info.model_fields_set})
    assert unstated == stated
    asked = SetOptions()
    sets = [_jobs(site.model_copy(update={"info": one}), KeptWork(), asked=asked) for one in (unstated, stated)]
    assert [job.sheet_id for job in sets[0]] == [job.sheet_id for job in sets[1]]
    for one, other in zip(*sets, strict=True):
        assert one.inputs != other.inputs
    assert sets[0][-1].draw().to_bytes() != sets[1][-1].draw().to_bytes()
