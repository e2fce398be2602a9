"""What an issue says of itself: console and transmittal count sheets alike."""

from __future__ import annotations

import datetime
import io

from pypdf import PdfReader

from riserkit.field.transmittal import transmittal_pdf
from riserkit.model.info import SiteInfo
from riserkit.model.site import Site
from riserkit.record.issue import Issue, IssuedSheet
from riserkit.reports.register import issue_lines, sheet_counts

DATES = {"A": datetime.date(2026, 3, 9), "B": datetime.date(2026, 4, 2), "C": datetime.date(2026, 5, 4)}


def sheet(number: str, revision: str, *, void: bool = False) -> IssuedSheet:
    return IssuedSheet(number, f"Sheet {number}", "door", number, revision, DATES[revision], {}, void=void)


def issue(revision: str, *sheets: IssuedSheet) -> Issue:
    return Issue(revision, DATES[revision], "for construction", "A. Drafter", "", (), {}, sheets)


def test_a_void_sheet_is_none_of_the_set(tmp_path) -> None:
    second = issue("B", sheet("1", "A"), sheet("2", "B"), sheet("3", "B"), sheet("4", "B", void=True))
    counts = "2 sheets at this revision, 1 unchanged, 1 void"
    assert sheet_counts(second) == counts
    assert next(issue_lines(second, tmp_path)).endswith(f": {counts}")
    pages = PdfReader(io.BytesIO(transmittal_pdf(Site(info=SiteInfo(name="Works")), second))).pages
    assert counts in " ".join(pages[0].extract_text().split())
    # withdrawn once, it is neither withdrawn again nor unchanged
    third = issue("C", sheet("1", "A"), sheet("2", "C"), sheet("3", "B"), sheet("4", "B", void=True))
    assert sheet_counts(third) == "1 sheet at this revision, 2 unchanged"
