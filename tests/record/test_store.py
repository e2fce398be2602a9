"""Issues on record: read back as they were, one of each revision, and never half written."""

from __future__ import annotations

import datetime
import json
import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

import riserkit
from riserkit.model.records import IssuedLabel
from riserkit.record.errors import RecordError
from riserkit.record.issue import Issue, IssuedSheet, issue_json, read_issue
from riserkit.record.returns import read_returns
from riserkit.record.store import issues_folder, read_issues, write_issue

SITE = Path(__file__).parents[2] / "sample_drawings" / "first-look" / "site"
DAY = datetime.date(2026, 3, 14)
ISSUE = Issue(
    revision="B",
    date=DAY,
    purpose="for construction",
    name="A. Drafter",
    note="Kiln room lock",
    labels=(IssuedLabel(kind="cable", subject="1", label="1A-A07"),),
    facts={"openings": {"1": {"lock": "strike"}}},
    sheets=(IssuedSheet("T-101", "Plan", "plan", "", "A", DAY, {"cable:1": ("0a1b",)}, {"cable:1": ("0a1b",)}),),
)


def test_an_issue_is_read_back_as_it_was() -> None:
    assert read_issue(issue_json(ISSUE), "B.json") == ISSUE


def test_issues_stand_in_the_order_of_their_revisions(tmp_path: Path) -> None:
    for revision in ("AA", "B", "1", "A"):
        write_issue(tmp_path, replace(ISSUE, revision=revision))
    assert [issue.revision for issue in read_issues(tmp_path)] == ["1", "A", "B", "AA"]


def test_a_revision_is_issued_once(tmp_path: Path) -> None:
    write_issue(tmp_path, ISSUE)
    before = (tmp_path / "issues" / "B.json").read_bytes()
    with pytest.raises(RecordError, match="revision B is on record"):
        write_issue(tmp_path, replace(ISSUE, note="another"))
    assert (tmp_path / "issues" / "B.json").read_bytes() == before
    assert [path.name for path in (tmp_path / "issues").iterdir()] == ["B.json"]


def test_issues_of_a_document_stand_beside_it(tmp_path: Path) -> None:
    assert issues_folder(tmp_path / "hall.json") == tmp_path / "hall.issues"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "is no record of an issue"),
        ("[]", "is no record of an issue"),
        ('{"riserkit_issue": 2}', "version 2 of the record"),
        (issue_json(ISSUE).replace('"2026-03-14"', '"soon"', 1), "date"),
        (issue_json(ISSUE).replace('"facts": {', '"facts": {"walls": 3, ', 1), "facts.walls"),
        ("[" * 100_000, "is no record of an issue"),
    ],
)
def test_a_spoilt_record_says_where(tmp_path: Path, text: str, says: str) -> None:
    folder = tmp_path / "issues"
    folder.mkdir()
    (folder / "B.json").write_text(text, "utf-8")
    with pytest.raises(RecordError, match=says):
        read_issues(tmp_path)


def test_a_label_once_issued_is_kept(tmp_path: Path) -> None:
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    write_issue(site, ISSUE)
    assert riserkit.design_site(riserkit.read_site(site)).labels.cable["1"] == "1A-A07"


def test_what_the_table_states_counts_before_the_record(tmp_path: Path) -> None:
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    (site / "issued_labels.csv").write_text("kind,subject,label\ncable,1,1A-A05\n", "utf-8")
    write_issue(site, ISSUE)
    assert riserkit.design_site(riserkit.read_site(site)).labels.cable["1"] == "1A-A05"


def test_of_two_that_issue_at_once_the_second_is_told(tmp_path, monkeypatch):
    """Both saw the revision free; the first has put it on record when the second comes to it."""
    write_issue(tmp_path, ISSUE)
    (tmp_path / "issues" / ".B-left").write_text("half", "utf-8")
    before = (tmp_path / "issues" / "B.json").read_bytes()
    monkeypatch.setattr(Path, "exists", lambda _: False)
    with pytest.raises(RecordError, match="meanwhile"):
        write_issue(tmp_path, ISSUE)
    monkeypatch.undo()
    assert [p.name for p in (tmp_path / "issues").iterdir()] == ["B.json"]
    assert (tmp_path / "issues" / "B.json").read_bytes() == before


@pytest.mark.parametrize("kind", ["folder", "link to a device", "pipe"])
@pytest.mark.parametrize(("folder", "name"), [("issues", "A.json"), ("as-built", "0001.json")])
def test_a_record_that_is_no_file_is_told_and_not_left_out(tmp_path, kind, folder, name):
    read = read_issues if folder == "issues" else read_returns
    path = tmp_path / folder / name
    path.parent.mkdir()
    make = {
        "folder": path.mkdir,
        "link to a device": lambda: path.symlink_to("/dev/zero"),
        "pipe": lambda: os.mkfifo(path),
    }
    make[kind]()
    with pytest.raises(RecordError, match=f"{name} is no file"):
        read(tmp_path)


@pytest.mark.parametrize("folder", ["issues", "as-built"])
def test_a_file_in_place_of_the_record_is_told(tmp_path, folder):
    (tmp_path / folder).write_text("x", "utf-8")
    with pytest.raises(RecordError, match=f"{folder} is no folder"):
        (read_issues if folder == "issues" else read_returns)(tmp_path)


RETURN = {
    "riserkit_return": 1, "number": 1, "files": {},
    "tables": {"lengths": [{"by": "A. Name", "date": "2026-03-01", "cable": "1A-A01", "length_m": 24.0}]},
}  # fmt: skip


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        ("24.0", "NaN", "length_m: expected a finite number"),
        ("24.0", "1e400", "length_m: expected a finite number"),
        ("24.0", '"x"', "length_m: expected 42, 42 m"),
        ("2026-03-01", "2026-13-01", "date: expected a date"),
        ("A. Name", "A\\u001b[2J", "by: expected text without control characters"),
        ('"lengths"', '"others"', "is no record of a return"),
        ('"number": 1', '"number": "x"', "is no record of a return"),
    ],
)
def test_a_spoilt_return_is_told_in_our_own_words(tmp_path, was, now, told):
    (tmp_path / "as-built").mkdir()
    text = json.dumps(RETURN)
    (tmp_path / "as-built" / "0001.json").write_text(text, "utf-8")
    assert len(read_returns(tmp_path)) == 1
    assert was in text
    (tmp_path / "as-built" / "0001.json").write_text(text.replace(was, now), "utf-8")
    with pytest.raises(RecordError, match="restore it from a backup") as error:
        read_returns(tmp_path)
    assert told in str(error.value)
    assert "validation error" not in str(error.value)
    assert "\n" not in str(error.value)
