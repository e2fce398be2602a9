"""The files of a small site issued, built differently, and drawn as it was built; `test_story` is the same at twenty-four doors."""

from __future__ import annotations

import datetime
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from riserkit.design import Design
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.marks import read_mark
from riserkit.results.build import BuildOptions, build_site
from riserkit.results.issue import NewIssue, issue_site
from riserkit.results.return_site import return_site
from tests.folders import csv_rows
from tests.opened import opened

from .conftest import SITE
from .crews import filled, relanded, write_workbook

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def results(designed: Design, tmp_path_factory: pytest.TempPathFactory, not_inspected: None) -> Path:
    folder = tmp_path_factory.mktemp("written")
    site = Path(shutil.copytree(SITE, folder / "site"))
    options = BuildOptions(details="each", doors=("2",))
    issue_site(
        site, folder / "set", NewIssue("A", datetime.date(2026, 3, 1), "for construction", "A. Drafter"), options
    )
    _edit(folder / "set" / "drawings" / "T-501-2.dxf")
    rows = filled(designed, ("2",))
    relanded(rows, "2", "18", landed_to="X1.2")
    pressed = next(r for r in rows["readings"] if "S1 pressed" in r["state"] and "lock" in r["what"])
    pressed["reading"] = "13.4"
    return_site(site, [write_workbook(folder / "papers.xlsx", rows)])
    build_site(site, folder / "set", replace(options, as_built=True, keep_edits=True))
    return folder / "set"


def _edit(path: Path) -> None:
    """A drafter's own text and own cloud, on the layer on which revisions stand."""
    doc = read_dxf(path)
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    paper.add_text("SEEN BY N. B.", height=4).set_placement((60, 60))
    corners = [(50, 50), (80, 50), (110, 50), (110, 75), (80, 75), (50, 75)]
    cloud = [(x, y, 0, 0, 0.5) for x, y in corners]
    paper.add_lwpolyline(cloud, close=True, dxfattribs={"layer": layers.REVISION})
    doc.saveas(path)


def _title(folder: Path, sheet: str) -> dict[str, str]:
    doc = opened(folder / "drawings" / f"{sheet}.dxf")
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    block = next(e for e in paper.query("INSERT") if e.dxf.name == "title_block")
    return {a.dxf.tag: a.dxf.text for a in block.attribs}


def test_what_a_drafter_drew_stays_and_is_no_cloud_of_ours(results: Path) -> None:
    assert "SEEN BY N. B." in _texts(results, "T-501-2")
    doc = opened(results / "drawings" / "T-501-2.dxf")
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    clouds = [e for e in paper.query("LWPOLYLINE") if e.dxf.layer == layers.REVISION and e.has_arc]
    own = [e for e in clouds if read_mark(e) is None]
    assert [tuple(e.get_points("xy")[0]) for e in own] == [(50, 50)]
    assert len(own[0]) == 6
    notes = [row for row in csv_rows(results / "rebuild_notes.csv") if row["file"] == "T-501-2.dxf"]
    assert {row["kind"] for row in notes} == {"own"}


def test_a_build_that_is_no_issue_says_so_in_its_title_block(results: Path) -> None:
    title = _title(results, "T-501-2")
    # the upper of two lines is the second attribute
    said = f"{title['DOC_TYPE_2']} {title['DOC_TYPE']}"
    assert said == "Door detail, as built, not issued"
    assert title["DATE"] == "not issued"


def _texts(folder: Path, sheet: str) -> str:
    doc = opened(folder / "drawings" / f"{sheet}.dxf")
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    found = [e.plain_text() for space in spaces for e in space.query("TEXT MTEXT")]
    return " ".join(" ".join(found).split())


def test_the_sheet_shows_what_was_built_and_holds(results: Path) -> None:
    # Readings that its detail has no room for stand on a sheet of their own.
    said = " ".join(_texts(results, path.stem) for path in sorted((results / "drawings").glob("T-50*-2.dxf")))
    for words in (
        "HOLD - NOT IN SERVICE",
        "release-by-hand",
        "Was and is",
        "X1.1 to X1.2",
        "A. Lee, 2026-03-20",
        "13.4 OUT",
    ):
        assert words in said, words
    assert "DO NOT BUILD" not in said


def test_the_register_and_the_schedules_say_it(results: Path) -> None:
    (row,) = csv_rows(results / "schedules" / "differences.csv")
    assert (row["opening"], row["kind"], row["was"], row["is"]) == ("2", "landing", "X1.1 to S1.11", "X1.1 to X1.2")
    basis = {row["opening"]: row["basis"] for row in csv_rows(results / "schedules" / "device_cables.csv")}
    assert basis == {"1": "estimated", "2": "measured"}
    landed = next(
        r for r in csv_rows(results / "schedules" / "conductors.csv") if (r["opening"], r["no"]) == ("2", "18")
    )
    assert (landed["from"], landed["to"]) == ("X1.1", "X1.2")


def test_what_nobody_returned_stands_on_the_sheets_as_open(results: Path) -> None:
    found = {(row["rule"], row["subject"], row["about"]) for row in csv_rows(results / "findings.csv")}
    assert {about for rule, subject, about in found if (rule, subject) == ("not-returned", "1")} == {
        "door", "landings", "readings", "lengths",
    }  # fmt: skip
    assert "HOLD" in _texts(results, "T-001")


def test_what_differs_from_the_issue_is_clouded(results: Path) -> None:
    doc = opened(results / "drawings" / "T-501-2.dxf")
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    arcs = [e for s in spaces for e in s.query("LWPOLYLINE") if e.dxf.layer == layers.REVISION]
    assert any(bulge for e in arcs for *_, bulge in e.get_points("xyb"))
