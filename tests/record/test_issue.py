"""Two issues of a small site: what the second says has changed, read from the files it wrote."""

from __future__ import annotations

import csv
import datetime
import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.revisions.values import SheetRevisions
from riserkit.drawings.set import write
from riserkit.drawings.set.ahead import DrawnAhead
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.site import Site
from riserkit.record.errors import RecordError
from riserkit.record.store import read_issues
from riserkit.results import build
from riserkit.results.build import BuildOptions, build_site
from riserkit.results.field import FieldFiles
from riserkit.results.field_site import FieldOptions, field_site
from riserkit.results.issue import Issued, NewIssue, compare_site, issue_site
from tests.opened import opened

SITE = Path(__file__).parents[2] / "sample_drawings" / "first-look" / "site"
A = NewIssue("A", datetime.date(2026, 3, 14), "for construction", "A. Drafter")
B = NewIssue("B", datetime.date(2026, 4, 14), "for construction", "B. Drafter", "Street door opens without power")

EACH = BuildOptions(details="each")


@dataclass(frozen=True)
class Story:
    """A site issued twice, one lock changed in between."""

    site: Path
    first: Path
    second: Path
    issued: tuple[Issued, Issued]


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory, not_inspected: None) -> Iterator[Story]:
    folder = tmp_path_factory.mktemp("story")
    site = folder / "site"
    shutil.copytree(SITE, site)
    first = issue_site(site, folder / "A", A, EACH)
    openings = site / "openings.csv"
    text = openings.read_text("utf-8")
    text = text.replace("strike-12-secure", "strike-12-safe").replace(
        ",fail-secure,mechanical", ",fail-safe,mechanical"
    )
    openings.write_text(text, "utf-8")
    second = issue_site(site, folder / "B", B, replace(EACH, field=True))
    yield Story(site, folder / "A", folder / "B", (first, second))


def _sheet(folder: Path, number: str) -> Any:
    return opened(folder / "drawings" / f"{number}.dxf")


def _title(doc: Any) -> dict[str, str]:
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    block = next(e for e in paper.query("INSERT") if e.dxf.name == "title_block")
    return {a.dxf.tag: a.dxf.text for a in block.attribs}


def _revision_marks(doc: Any) -> list[Any]:
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    return [e for space in spaces for e in space if e.dxf.layer == layers.REVISION]


def _rows(path: Path) -> dict[str, dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return {row["sheet"]: row for row in csv.DictReader(stream)}


@pytest.mark.slow
def test_only_changed_sheets_take_the_revision(story: Story) -> None:
    register = _rows(story.second / "register.csv")
    revised = {number for number, row in register.items() if row["revision"] == "B"}
    # The plan and the sheets of the other door say what they said.
    assert {"T-501-1", "T-651"} <= revised
    assert register["T-101"]["revision"] == register["T-501-2"]["revision"] == "A"
    assert register["T-101"]["history"] == "A"
    assert register["T-501-1"]["history"] == "A B"


def test_each_sheet_bears_its_own_revision_and_date(story: Story) -> None:
    changed, stayed = _title(_sheet(story.second, "T-501-1")), _title(_sheet(story.second, "T-101"))
    assert (changed["REV"], changed["DATE"]) == ("B", "2026-04-14")
    assert (stayed["REV"], stayed["DATE"]) == ("A", "2026-03-14")


def test_a_first_issue_has_no_clouds(story: Story) -> None:
    for number in ("T-101", "T-501-1", "T-651"):
        assert not _revision_marks(_sheet(story.first, number))


def test_what_changed_is_clouded_and_has_a_delta(story: Story) -> None:
    marks = _revision_marks(_sheet(story.second, "T-501-1"))
    clouds = [e for e in marks if (mark := read_mark(e)) and mark.model_id == "revision:cloud"]
    letters = [a.dxf.text for e in marks if e.dxftype() == "INSERT" for a in e.attribs]
    assert clouds
    assert set(letters) == {"B"}
    assert not _revision_marks(_sheet(story.second, "T-501-2"))


def test_the_cloud_goes_round_the_row_that_changed(story: Story) -> None:
    doc = _sheet(story.second, "T-651")
    clouds = [e for e in _revision_marks(doc) if e.dxftype() == "LWPOLYLINE" and e.has_arc]
    inside: set[str] = set()
    for cloud in clouds:
        xs, ys = zip(*cloud.get_points("xy"), strict=True)
        for text in doc.modelspace().query("TEXT"):
            x, y, _ = text.dxf.insert
            if min(xs) < x < max(xs) and min(ys) < y < max(ys):
                inside.add(text.dxf.text)
    assert "Street door" in inside
    assert any("fail-safe" in text for text in inside)
    assert not inside & {"Kiln room", "1A-A02"}


def test_the_transmittal_says_what_changed(story: Story) -> None:
    rows = _rows(story.second / "transmittal.csv")
    assert rows["T-101"]["what_changed"] == "unchanged"
    assert "opening 1 component M1" in rows["T-501-1"]["what_changed"]
    assert _rows(story.first / "transmittal.csv")["T-501-1"]["what_changed"] == "first issue of this sheet"


def test_the_difference_names_the_lock(story: Story) -> None:
    changed = {
        (f.kind, f.subject, f.field): (f.was, f.is_now) for s in story.issued[1].difference.subjects for f in s.facts
    }
    assert changed["openings", "1", "lock"] == ("strike-12-secure", "strike-12-safe")
    assert not any(subject == "2" for _, subject, _ in changed)


def test_nothing_differs_from_the_last_issue(story: Story) -> None:
    found = compare_site(story.site)
    issue, difference = found.issue, found.difference
    assert issue.revision == "B"
    assert not difference


def test_earlier_issues_can_be_compared_with(story: Story) -> None:
    difference = compare_site(story.site, "A").difference
    assert difference == story.issued[1].difference


@pytest.mark.slow
def test_a_build_of_the_same_site_is_the_issued_set(story: Story, tmp_path: Path) -> None:
    build_site(story.site, tmp_path / "again", EACH)
    for path in sorted((story.second / "drawings").glob("*.dxf")):
        assert (tmp_path / "again" / "drawings" / path.name).read_bytes() == path.read_bytes(), path.name


@pytest.mark.parametrize(
    ("new", "says"),
    [
        (NewIssue("B", B.date, "for construction", "C"), "does not follow B"),
        (NewIssue("A", B.date, "for construction", "C"), "does not follow B"),
        (NewIssue("C", datetime.date(2026, 4, 1), "for construction", "C"), "before B of 2026-04-14"),
        (NewIssue("O", B.date, "for construction", "C"), "without I, O"),
        (NewIssue("../x", B.date, "for construction", "C"), "without I, O"),
    ],
)
def test_an_issue_out_of_order_is_refused(story: Story, tmp_path: Path, new: NewIssue, says: str) -> None:
    with pytest.raises(RecordError, match=says):
        issue_site(story.site, tmp_path / "C", new)
    assert not (tmp_path / "C").exists()
    assert [issue.revision for issue in read_issues(story.site)] == ["A", "B"]


def _pages(path: Path) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_papers_for_the_crew_bear_the_revision_that_changed_their_door(story: Story) -> None:
    changed, stayed = _pages(story.second / "field" / "door-1.pdf"), _pages(story.second / "field" / "door-2.pdf")
    assert all("Revision B, 2026-04-14. For construction" in text for text in changed)
    assert all("Revision A, 2026-03-14. For construction" in text for text in stayed)
    assert story.issued[1].built.papers == FieldFiles(2, 1)
    listed = json.loads((story.second / "contents.json").read_text("utf-8"))["files"]
    assert {"schedules.xlsx", "field/door-1.pdf", "field/telephone/door-1.pdf", "transmittal.pdf"} <= set(listed)
    assert not (story.first / "field").exists()


@pytest.mark.slow
def test_papers_of_a_door_that_changed_after_the_issue_say_so(story: Story, tmp_path: Path) -> None:
    site, out = tmp_path / "site", tmp_path / "papers"
    shutil.copytree(story.site, site)
    table = site / "openings.csv"
    table.write_text(table.read_text("utf-8").replace("magnet-12-300", "magnet-12-600"), "utf-8")
    field_site(site, out, FieldOptions(doors=("1", "2")))
    assert all(
        "CHANGED SINCE revision A of 2026-03-14, not issued" in text for text in _pages(out / "field" / "door-2.pdf")
    )
    assert all("Revision B, 2026-04-14" in text for text in _pages(out / "field" / "door-1.pdf"))


def test_the_transmittal_and_the_register_are_papers_too(story: Story) -> None:
    register, transmittal = (" ".join(_pages(story.second / f"{name}.pdf")) for name in ("register", "transmittal"))
    assert "Transmittal, revision B" in transmittal
    for word in ("Issued by B. Drafter", "Revision B, 2026-04-14", "Street door opens without power", "Received by"):
        assert word in transmittal
    rows = _rows(story.second / "transmittal.csv")
    assert len(rows) > 5
    for number, row in rows.items():
        assert f"{number} {row['title']} {row['revision']} {row['date']}" in transmittal
        assert f"{number} {row['title']} {row['revision']} {row['date']}" in register
    assert "T-501-2 Door 2 Kiln room A 2026-03-14 unchanged" in transmittal


@pytest.mark.slow
def test_a_sheet_drawn_ahead_is_the_one_that_would_be_drawn(
    story: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a sheet says is read off the drawing that is issued: it is drawn once, as a second time would draw it."""
    served: dict[str, bool] = {}
    serves = DrawnAhead.serves

    def never(self: DrawnAhead, site: Site, sheet_id: str, revised: SheetRevisions | None) -> bool:
        served[sheet_id] = serves(self, site, sheet_id, revised)
        return False

    monkeypatch.setattr(DrawnAhead, "serves", never)
    monkeypatch.setattr(write, "cores", lambda: 1)
    site = tmp_path / "site"
    shutil.copytree(story.site, site, ignore=shutil.ignore_patterns("B.json"))
    issue_site(site, tmp_path / "again", B, EACH)
    assert {"T-501-2": True, "T-501-1": False}.items() <= served.items()  # the lock of one door has changed
    assert "T-001" not in served  # the cover waits for the others
    drawn = _bytes(tmp_path / "again")
    assert drawn == _bytes(story.second)
    assert len(drawn) > len(served)


def _bytes(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (folder / "drawings").glob("*.dxf")}


def test_what_is_found_on_the_drawings_is_no_change_of_the_design(
    story: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A text over another, or a sheet that is not drawn, made the papers of an issue say that the set had changed since."""
    found = Finding("sheet-not-drawn", Verdict.NOT_EVALUATED, Severity.ERROR, "T-601", "sheet", "", "", harm=Harm.CODE)
    monkeypatch.setattr(build, "not_drawn_findings", lambda _: (found,))
    built = shutil.copytree(story.second, tmp_path / "B")
    again = build_site(story.site, built, replace(EACH, field=True))
    assert found in again.checked.findings
    (line,) = [row for row in _sheet_rows(built / "schedules.xlsx", "field doors") if "Grey cells" in str(row[0])]
    assert line[0].startswith("Revision B, 2026-04-14.")


def _sheet_rows(workbook: Path, sheet: str) -> list[tuple[Any, ...]]:
    return list(load_workbook(workbook, read_only=True)[sheet].iter_rows(values_only=True))
