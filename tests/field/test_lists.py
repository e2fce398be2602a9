"""Pick list, reel plan and labels: each thing once, nothing for a door on HOLD, and what the tables and the papers say agree."""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.field.about import FieldWork
from riserkit.field.form import A4, LETTER
from riserkit.field.labels import HEIGHT_MM, WIDTH_MM, label_pages, labels_table, wrap_labels
from riserkit.field.paper import pages_of
from riserkit.field.pick import CLOSETS, pick_groups, pick_paper, pick_table
from riserkit.field.reels import REEL_M, cut_length_m, reel_paper, reel_plan, reel_table
from riserkit.model.cabling import Reel
from riserkit.record.facts import facts_of
from riserkit.reports.materials.site import site_materials
from riserkit.reports.schedules.site import work_tables
from riserkit.reports.table import ReportTable

Pages = Callable[[Path | bytes], list[str]]


def dicts(table: ReportTable) -> list[dict[str, Any]]:
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


def planned(work: FieldWork, *stated: tuple[str, str]) -> FieldWork:
    """With crew and day of each door."""
    openings = tuple(
        o.model_copy(update={"crew": crew, "work_date": datetime.date.fromisoformat(day) if day else None})
        for o, (crew, day) in zip(work.design.site.openings, stated, strict=True)
    )
    site = work.design.site.model_copy(update={"openings": openings})
    doors = tuple(replace(d, opening=o) for d, o in zip(work.design.doors, openings, strict=True))
    return replace(work, design=replace(work.design, site=site, doors=doors))


def test_groups_together_take_what_the_site_takes(work: FieldWork) -> None:
    for one in (work, planned(work, ("North", "2026-05-04"), ("", ""))):
        total: Counter[Any] = Counter()
        for group in pick_groups(one):
            total.update(group.quantities)
        whole = site_materials(work.design)
        assert set(total) == set(whole)
        assert all(total[line] == pytest.approx(whole[line]) for line in whole)


def test_groups_are_closets_until_somebody_states_crews_or_days(work: FieldWork, pages: Pages) -> None:
    assert [g.title for g in pick_groups(work)] == ["Closet 1A", CLOSETS]
    by_day = planned(work, ("South", ""), ("North", "2026-05-04"))
    groups = pick_groups(by_day)
    assert [g.title for g in groups] == ["2026-05-04, crew North", "Day not stated, crew South", CLOSETS]
    assert [g.doors for g in groups] == [("2",), ("1",), ()]
    text = " ".join(pages(pdf_bytes(pages_of(pick_paper(by_day, groups), A4))))
    assert text.index("2026-05-04, crew North") < text.index("Electromagnetic lock") < text.index("crew South")
    rows = dicts(pick_table(by_day, groups))
    assert {(r["work_date"], r["crew"]) for r in rows if r["item"] == "magnet-12-300"} == {("2026-05-04", "North")}
    assert [
        dict(zip(t.columns, r, strict=True))["mark"] for t in work_tables(by_day.design, by_day.holds) for r in t.rows
    ] == [
        "2",
        "1",
    ]
    assert work_tables(work.design, work.holds) == ()


def test_crews_and_days_are_no_change_of_the_design(work: FieldWork) -> None:
    assert facts_of(planned(work, ("North", "2026-05-04"), ("", "")).design) == facts_of(work.design)


def test_nothing_is_picked_or_cut_for_a_door_on_hold(held_work: FieldWork, pages: Pages) -> None:
    group = pick_groups(held_work)[0]
    assert (group.doors, group.held) == (("1",), ("2",))
    assert all("2" not in marks for marks in group.doors_of.values())
    plan = reel_plan(held_work)
    assert {c.mark for one in plan for c in one.cables} == {"1"}
    assert {c.mark for one in plan for c in one.held} == {"2"}
    text = " ".join(pages(pdf_bytes(pages_of(reel_paper(held_work, plan), A4))))
    assert "On HOLD, not cut. Do not order until resolved: 2-W5" in text
    assert {r["note"] for r in dicts(reel_table(held_work, plan)) if r["to"] == "2"} == {
        "HOLD: do not order until resolved"
    }
    assert {r["note"] for r in dicts(labels_table(wrap_labels(held_work))) if r["opening"] == "2"} == {"HOLD"}


def test_what_is_listed_for_a_door_with_an_error_against_the_code_says_so(unfit_work: FieldWork, pages: Pages) -> None:
    """Else the crew takes and cuts the very cable that may not run there."""
    told = "Resolve before work: jacket-fit"
    groups = pick_groups(unfit_work)
    assert "2" in groups[0].doors
    text = " ".join(pages(pdf_bytes(pages_of(pick_paper(unfit_work, groups), A4))))
    assert f"{told} of 2:" in text
    assert [r["openings"] for r in dicts(pick_table(unfit_work, groups)) if r["note"] == told] == ["2"]
    plan = reel_plan(unfit_work)
    marks = {c.label or c.subject: c.mark for c in unfit_work.design.cables}
    rows = [r for r in dicts(reel_table(unfit_work, plan)) if r["reel"] is not None]
    assert {r["note"] for r in rows if marks[r["cable"]] == "2"} == {told}
    assert {r["note"] for r in rows if marks[r["cable"]] != "2"} == {""}
    text = " ".join(pages(pdf_bytes(pages_of(reel_paper(unfit_work, plan), A4))))
    assert text.count(f"{told}, then cut:") == sum(any(c.mark == "2" for c in one.cables) for one in plan)


def test_every_cable_is_cut_once_from_a_reel_that_has_so_much(work: FieldWork) -> None:
    plan = reel_plan(work)
    cut = [c.subject for one in plan for c in (*one.cables, *one.held, *one.too_long, *one.unknown)]
    assert sorted(cut) == sorted(c.subject for c in work.design.cables)
    for one in plan:
        for reel in one.cutting.reels:
            assert sum(cut_length_m(one.cables[n], one.units) for n in reel) <= REEL_M
    rows = [r for r in dicts(reel_table(work, plan)) if r["reel"]]
    assert len(rows) == len(cut)
    for c in work.design.cables:
        row = next(r for r in rows if r["cable"] == (c.label or c.subject))
        assert c.length_m is not None
        assert c.length_m - 1e-9 <= row["cut_m"] < c.length_m + 0.1 + 1e-9
    last = {r["cable_type"]: r["left_m"] for r in rows}
    assert all(last[one.cable_type] == pytest.approx(one.left_m, abs=1e-6) for one in plan)


def test_a_reel_that_was_begun_is_cut_from_first(work: FieldWork, pages: Pages) -> None:
    """19.96 m count as 19.9: nothing is planned from what may not be there."""
    name = next(one.cable_type for one in reel_plan(work) if len(one.cables) > 1)
    reels = (Reel(id="R-7", cable_type=name, left_m=19.96), Reel(id="R-8", cable_type="cat6a-outdoor", left_m=50))
    begun = replace(work, design=replace(work.design, site=work.design.site.model_copy(update={"reels": reels})))
    plan = reel_plan(begun)
    one = next(one for one in plan if one.cable_type == name)
    cuts = [cut_length_m(one.cables[n], one.units) for n in one.cutting.begun[0]]
    assert cuts
    assert sum(cuts) <= 19.9
    rows = dicts(reel_table(begun, plan))
    (last,) = [r for r in rows if r["reel"] == "R-7, begun"][-1:]
    assert last["left_m"] == pytest.approx(19.96 - sum(cuts), abs=0.05)  # told to a tenth
    assert [r["note"] for r in rows if r["reel"] == "R-8, begun"] == ["nothing is cut from it"]
    text = " ".join(pages(pdf_bytes(pages_of(reel_paper(begun, plan), A4))))
    assert "reel R-7, begun" in text
    assert "Nothing is cut from these reels that have been begun: R-8 of cat6a-outdoor" in text


def test_feet_are_cut_in_whole_feet_and_never_too_short(work: FieldWork, pages: Pages) -> None:
    info = work.design.site.info.model_copy(update={"unit_system": "imperial"})
    site = work.design.site.model_copy(update={"info": info})
    feet = replace(work, design=replace(work.design, site=site))
    plan = reel_plan(feet)
    text = " ".join(pages(pdf_bytes(pages_of(reel_paper(feet, plan), A4))))
    cables = {c.label or c.subject: c.length_m or 0.0 for c in work.design.cables}
    cuts = re.findall(r"reel 1 (\d+) ft (\S+) door", text)
    assert {label for _, label in cuts} == set(cables)
    for cut_ft, label in cuts:
        assert 0 <= int(cut_ft) * 0.3048 - cables[label] < 0.3048
    assert "rounded up to a foot" in text


def test_what_no_reel_holds_or_nobody_knows_is_listed_by_itself(work: FieldWork) -> None:
    first, second, *more = work.design.pathway_cables
    changed = (replace(first, length_m=400.0), replace(second, length_m=None), *more)
    made = replace(work.design)
    made.__dict__["pathway_cables"] = changed
    plan = reel_plan(replace(work, design=made))
    assert [c.subject for one in plan for c in one.too_long] == [first.subject]
    assert [c.subject for one in plan for c in one.unknown] == [second.subject]


def test_both_ends_of_every_cable_have_a_label(work: FieldWork) -> None:
    labels = wrap_labels(work)
    ends = Counter(label.text for label in labels)
    assert ends == {c.label or c.subject: 2 for c in work.design.cables}
    lock = [label for label in labels if label.text == "2-W9"]
    assert [(one.near, one.far) for one in lock] == [("X1", "M1"), ("M1", "X1")]
    data = [(one.near, one.far) for one in labels if one.text == "1A-A02"]
    assert data == [("1A.R1-A:02", "door 2"), ("door 2", "1A.R1-A:02")]


def test_every_code_of_the_label_sheets_is_read_back(
    work: FieldWork, papers: Path, decoded: Callable[..., list[str]], tmp_path: Path
) -> None:
    # Both ends of a cable have one code, side by side, and the reader tells what it has read once: column by column.
    said: Counter[str] = Counter()
    for column in range(4):
        folder = tmp_path / f"{column}"
        folder.mkdir()
        left, wide = (str(round(mm / 25.4 * 300)) for mm in (12 + WIDTH_MM * column, WIDTH_MM))
        strip = ("-x", left, "-y", "0", "-W", wide, "-H", str(round(297 / 25.4 * 300)))
        said.update(decoded(papers / "field" / "labels.pdf", folder, 300, *strip))
    assert said == Counter(label.code for label in wrap_labels(work))


@pytest.mark.parametrize("form", [A4, LETTER])
def test_labels_go_on_to_as_many_sheets_as_they_need(work: FieldWork, pages: Pages, form: Any) -> None:
    labels = wrap_labels(work) * 3
    on_sheet = int((form.width_mm - 24) // WIDTH_MM) * int((form.height_mm - 30) // HEIGHT_MM)
    read = pages(pdf_bytes(label_pages(labels, form, "PL-01")))
    assert len(read) == -(-len(labels) // on_sheet)
    assert Counter(word for text in read for word in text.split() if word == "2-W9") == {"2-W9": 6}
    assert all(f"print at 100 %; page {n} of {len(read)}" in text for n, text in enumerate(read, 1))


def test_the_slack_is_stated(work: FieldWork, papers: Path, pages: Pages) -> None:
    text = " ".join(pages(papers / "field" / "reel_plan.pdf"))
    assert "slack included: 3 m at the closet, 1 m at the door" in text
    assert "proven least" in text
