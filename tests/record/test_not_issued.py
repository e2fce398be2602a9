"""A build of a set that has changed since its last issue says so on every sheet: it does not pass for what went out."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace

import pytest

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.cover.tables import facts as cover_facts
from riserkit.drawings.revisions.values import SheetContent
from riserkit.drawings.set.content import set_content
from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.setting.frames import set_title
from riserkit.model.as_built import AsBuilt
from riserkit.model.site import Site
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue
from riserkit.reports.materials.facts import design_facts
from riserkit.results.build import _not_issued

DATE = datetime.date(2026, 3, 9)


@pytest.fixture
def issued(checked_sample: Callable[[str], Checked]) -> tuple[Checked, Issue]:
    """The small sample as issued, approved by somebody."""
    checked = checked_sample("first-look")
    issue = Issue("A", DATE, "for construction", "A. Drafter", "", (), design_facts(checked.design, checked.findings))
    site = with_issues(checked.design.site, (issue,))
    site = site.model_copy(update={"info": site.info.model_copy(update={"approved_by": "B. Engineer"})})
    return replace(checked, design=replace(checked.design, site=site)), issue


def title(site: Site) -> tuple[str, str, str, str]:
    found = set_title(site, "T-101", "Plan", "Plan")
    return found.document_type, found.revision, found.date_of_issue, found.approved_by


def said_on_the_cover(site: Site) -> str:
    return " ".join(cell for row in cover_facts(site).rows for cell in row)


def with_facts_as_they_are(checked: Checked, issue: Issue) -> Issue:
    return replace(issue, facts=design_facts(checked.design, checked.findings))


def test_a_set_as_issued_bears_its_revision_and_its_approval(issued: tuple[Checked, Issue]) -> None:
    checked, issue = issued
    site = _not_issued(checked, (with_facts_as_they_are(checked, issue),)).design.site
    assert title(site) == ("Plan, for construction", "A", "2026-03-09", "B. Engineer")
    assert not _not_issued(checked, ()).design.site.changed_since


def test_one_that_has_changed_since_says_so(issued: tuple[Checked, Issue]) -> None:
    checked, issue = issued
    other = {**issue.facts, "openings": {**issue.facts["openings"], "1": {"lock": "another"}}}
    site = _not_issued(checked, (replace(issue, facts=other),)).design.site
    assert title(site) == ("Plan, set changed since A, not issued", "A", "not issued", "")
    assert "set changed since A, not issued" in said_on_the_cover(site)
    assert "B. Engineer" not in said_on_the_cover(site)


def test_one_as_built_that_has_not_been_issued_so_says_so(issued: tuple[Checked, Issue]) -> None:
    checked, issue = issued
    info = checked.design.site.info.model_copy(update={"status": "as built"})
    site = checked.design.site.model_copy(update={"as_built": AsBuilt(), "info": info})
    built = replace(checked, design=replace(checked.design, site=site))
    same = with_facts_as_they_are(built, issue)
    assert title(_not_issued(built, (same,)).design.site)[0] == "Plan, as built, not issued"
    handed_over = replace(same, purpose="as built")
    assert title(_not_issued(built, (handed_over,)).design.site)[0] == "Plan, as built"


def test_a_door_that_is_hung_otherwise_is_another_sheet_and_another_plan(site_of: Callable[..., Design]) -> None:
    """Its lines alone show it: the leaf on the plan, the elevation. Both sheets say it in words that an issue compares."""
    opening = {"lock": "strike-12-secure", "egress": "mechanical", "free_egress_hardware": True, "secured_side_deg": 90,
               "swings_to": "secured", "x_m": 5}  # fmt: skip

    def said(hinges: str, swings_to: str = "secured") -> dict[str, SheetContent]:
        design = site_of({**opening, "hinges": hinges, "swings_to": swings_to})
        options = SetOptions(cover=False, riser=False, details="each", workers=1)
        return {sheet.kind: sheet.content for sheet in set_content(Checked(design), options, lambda *_: None)}

    left, right, pulled = said("left"), said("right"), said("left", "unsecured")
    assert set(left) == {"plan", "door"}
    for other in (right, pulled):
        assert other["plan"].get("opening:101") != left["plan"].get("opening:101")
        assert other["door"]["opening:101/table/opening"] != left["door"]["opening:101/table/opening"]
