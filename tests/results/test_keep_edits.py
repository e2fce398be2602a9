"""Building into earlier results: what is a drafter's stays, what did not change is not drawn, and the bytes are the same."""

from __future__ import annotations

import json
import os
import shutil
import signal
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from pypdf import PdfReader

from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.marks import read_mark
from riserkit.results import build as building
from riserkit.results.folder import CONTENTS, OutputError, look_over, whole_folder
from tests import child, drawn
from tests.command import run
from tests.folders import bytes_in, csv_rows
from tests.opened import opened

pytestmark = pytest.mark.usefixtures("drawn_once")

FIRST = Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site"
DOOR = "drawings/T-501-1.dxf"
OTHER = "drawings/T-501-2.dxf"
EACH = ("--details", "each")


def build(site: Path, out: Path, *more: str) -> Result:
    done = run("build", site, "-o", out, *more)
    assert done.exit_code == 0, done.output
    return done


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FIRST, tmp_path / "site", ignore=shutil.ignore_patterns("*.dxf")))


@pytest.fixture
def uninspected() -> Iterator[None]:
    """For tests that build several times and compare other things than what is said of sheets."""
    with drawn.uninspected():
        yield


uninspected_builds = pytest.mark.usefixtures("uninspected")


@pytest.fixture
def out(first_look_results: Path, tmp_path: Path) -> Path:
    """The results of the site, built once."""
    return Path(shutil.copytree(first_look_results, tmp_path / "out"))


def _sheets(out: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (out / "drawings").glob("*.dxf")}


def _inodes(folder: Path) -> dict[str, int]:
    return {p.name: p.stat().st_ino for p in (folder / "drawings").glob("*.dxf")}


def _rename_door(site: Path, old: str = "Kiln room", new: str = "Glaze room") -> None:
    path = site / "openings.csv"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def _remove_door(site: Path) -> dict[str, str]:
    """Take door 2 from the site; the tables as they were."""
    before = {name: (site / name).read_text("utf-8") for name in ("openings.csv", "confirmations.csv")}
    for name, text in before.items():
        lines = text.splitlines()
        (site / name).write_text("\n".join(line for line in lines if not line.startswith("2,")) + "\n", "utf-8")
    return before


def _hand(path: Path) -> None:
    """A drafter writes beside the door, and corrects a line of text."""
    doc: Any = read_dxf(path)
    msp = doc.modelspace()
    msp.add_text("Checked on site", dxfattribs={"insert": (50, 50)})
    next(e for e in msp if e.dxftype() == "TEXT" and e.dxf.text == "Wiring").dxf.text = "Wiring as built"
    doc.saveas(path)


def _texts(path: Path) -> list[str]:
    doc: Any = opened(path)
    return [e.plain_text() for e in doc.modelspace() if e.dxftype() in ("TEXT", "MTEXT")]


def test_without_the_option_edits_are_refused_and_the_way_out_is_named(site, out):
    _hand(out / DOOR)
    before = bytes_in(out)
    told = run("build", site, "-o", out)
    assert told.exit_code == 2
    assert "--keep-edits" in told.stderr
    assert "T-501-1.dxf" in told.stderr
    assert bytes_in(out) == before


@uninspected_builds
@pytest.mark.slow
def test_edits_stay_and_the_rest_follows_the_site(site, out):
    _hand(out / DOOR)
    _rename_door(site)
    told = build(site, out, "--keep-edits")
    assert {"Checked on site", "Wiring as built"} <= set(_texts(out / DOOR))
    assert "Wiring" not in _texts(out / DOOR)
    assert any("Glaze room" in text for text in _glaze(out / OTHER))
    (row,) = csv_rows(out / "rebuild.csv")
    assert (row["sheet"], row["kept"], row["conflicts"]) == ("T-501-1.dxf", "2", "0")
    assert [(r["kind"], r["conflict"]) for r in csv_rows(out / "rebuild_notes.csv")] == [
        ("edited", "no"),
        ("own", "no"),
    ]
    assert json.loads((out / "rebuild.json").read_text("utf-8"))["sheets"][0]["kept"] == 2
    assert "Checked on site" in told.stdout
    assert "Edited sheets 1, conflicts 0" in told.stdout


def _glaze(path: Path) -> list[str]:
    doc: Any = opened(path)
    return [a.dxf.text for e in doc.layouts.get(path.stem) if e.dxftype() == "INSERT" for a in e.attribs]


@pytest.mark.slow
def test_edits_stay_at_every_further_build_and_the_bytes_too(site, out):
    _hand(out / DOOR)
    build(site, out, "--keep-edits", "--prints", "none")
    first = bytes_in(out)
    build(site, out, "--keep-edits", "--prints", "none")
    assert bytes_in(out) == first
    # the merged sheet is still a drafter's: a plain build would lose it
    assert run("build", site, "-o", out).exit_code == 2
    assert bytes_in(out) == first


@uninspected_builds
def test_foreign_and_edited_files_are_kept(site, out):
    (out / "notes").mkdir()
    (out / "notes" / "survey.txt").write_text("measured", "utf-8")
    (out / "drawings" / "detail.dxf").write_text("no drawing of ours", "utf-8")
    edited = out / "schedules" / "openings.csv"
    ours = edited.read_bytes()
    edited.write_text("mine", "utf-8")
    build(site, out, "--keep-edits", "--prints", "none")
    assert (out / "notes" / "survey.txt").read_text("utf-8") == "measured"
    assert (out / "drawings" / "detail.dxf").read_text("utf-8") == "no drawing of ours"
    assert edited.read_bytes() == ours
    assert (out / "schedules" / "openings.edited.csv").read_text("utf-8") == "mine"
    kinds = {r["file"]: r["kind"] for r in csv_rows(out / "rebuild_notes.csv")}
    assert kinds == {
        "notes/survey.txt": "foreign",
        "drawings/detail.dxf": "foreign",
        "schedules/openings.csv": "set aside",
    }
    edited.write_text("mine again", "utf-8")
    build(site, out, "--keep-edits", "--prints", "none")
    assert (out / "schedules" / "openings.edited.csv").read_text("utf-8") == "mine"
    assert (out / "schedules" / "openings.edited-2.csv").read_text("utf-8") == "mine again"


def _void(path: Path) -> list[str]:
    doc: Any = opened(path)
    return [e.dxf.text for e in doc.layouts.get(path.stem) if e.dxf.layer == "T-ANNO-VOID" and e.dxftype() == "TEXT"]


def _approvers(path: Path) -> list[str]:
    """Who has approved the sheet, as its title block says."""
    doc: Any = opened(path)
    blocks = [e for layout in doc.layouts for e in layout.query('INSERT[name=="title_block"]')]
    return [block.get_attrib_text("APPROVED_BY") for block in blocks]


@uninspected_builds
@pytest.mark.parametrize("by_hand", [True, pytest.param(False, marks=pytest.mark.sweep)])
@pytest.mark.slow
def test_a_sheet_that_is_gone_is_void_on_itself_in_the_index_and_in_print(site, out, by_hand):
    """Untouched, or with hand work on it, of which nothing is lost; the next build changes nothing; deleted, it is gone."""
    hand = {"Checked on site", "Wiring as built"} if by_hand else set()
    if by_hand:
        _hand(out / OTHER)
    approved = _approvers(out / OTHER)
    door = _remove_door(site)
    done = run("build", site, "-o", out, "--keep-edits", "--prints", "pdf")
    assert done.exit_code == (1 if by_hand else 0), done.output
    assert _void(out / OTHER)[0] == "VOID"
    assert _approvers(out / OTHER) == ["VOID"]
    assert _index(out)["T-501-2"].startswith("VOID")
    assert hand <= set(_texts(out / OTHER))
    notes = [r for r in csv_rows(out / "rebuild_notes.csv") if r["kind"] == "void" and r["file"] == "T-501-2.dxf"]
    assert [r["conflict"] for r in notes] == ["yes" if by_hand else "no"]
    pages = [page.extract_text() for page in PdfReader(out / "drawings" / "set.pdf").pages]
    assert len(pages) == len(list((out / "drawings").glob("T-*.dxf")))
    assert sum("do not build from it" in text for text in pages) >= 2
    first = _sheets(out)
    run("build", site, "-o", out, "--keep-edits", "--prints", "none")
    assert _sheets(out) == first
    # the door comes back: its sheet is valid again, with the hand work
    for name, text in door.items():
        (site / name).write_text(text, "utf-8")
    build(site, out, "--keep-edits", "--prints", "none")
    assert not _void(out / OTHER)
    assert _approvers(out / OTHER) == approved
    assert hand <= set(_texts(out / OTHER))
    _remove_door(site)
    (out / OTHER).unlink()
    build(site, out, "--keep-edits", "--prints", "none")
    assert not (out / OTHER).exists()


def _index(out: Path) -> dict[str, str]:
    doc: Any = opened(out / "drawings" / "T-001.dxf")
    found: dict[str, list[str]] = {}
    for e in doc.modelspace():
        mark = read_mark(e)
        if mark is not None and mark.model_id.startswith("index:"):
            found.setdefault(mark.model_id.removeprefix("index:"), []).append(e.plain_text())
    return {sheet: " ".join(texts[1:]) for sheet, texts in found.items()}


@pytest.mark.slow
def test_a_plain_build_says_which_sheets_are_no_longer_in_the_set(site, out):
    _remove_door(site)
    told = build(site, out)
    assert not (out / OTHER).exists()
    assert "No longer in the set, and removed: T-501-2" in told.stdout


@uninspected_builds
def test_a_drafter_s_copy_of_a_sheet_is_not_void(site, out):
    before = (out / OTHER).read_bytes()
    shutil.copy(out / OTHER, out / "drawings" / "before.dxf")
    build(site, out, "--keep-edits", "--prints", "none")
    assert (out / "drawings" / "before.dxf").read_bytes() == before


@pytest.mark.slow
def test_a_changed_door_draws_its_own_sheet_and_leaves_the_other(site, out, tmp_path):
    before = _inodes(out)
    _rename_door(site)
    build(site, out, "--prints", "none")
    after = _inodes(out)
    assert after["T-501-1.dxf"] == before["T-501-1.dxf"]
    assert after["T-501-2.dxf"] != before["T-501-2.dxf"]
    with drawn.afresh():
        build(site, tmp_path / "full", "--prints", "none")
    assert bytes_in(out) == bytes_in(tmp_path / "full")


@uninspected_builds
@pytest.mark.slow
def test_a_door_more_leaves_the_sheets_of_the_others(site, out, tmp_path):
    before = _inodes(out)
    path = site / "openings.csv"
    lines = path.read_text("utf-8").splitlines()
    path.write_text("\n".join([*lines, lines[-1].replace("2,Kiln room", "3,Glaze room", 1)]) + "\n", "utf-8")
    done = run("build", site, "-o", out, *EACH, "--prints", "none")
    assert done.exit_code in (0, 1)
    after = _inodes(out)
    assert {n: after[n] for n in ("T-501-1.dxf", "T-501-2.dxf")} == {
        n: before[n] for n in ("T-501-1.dxf", "T-501-2.dxf")
    }
    with drawn.afresh():
        run("build", site, "-o", tmp_path / "full", *EACH, "--prints", "none")
    assert bytes_in(out) == bytes_in(tmp_path / "full")


def test_nothing_changed_draws_nothing(site, out):
    before = _inodes(out), bytes_in(out)
    build(site, out)
    assert (_inodes(out), bytes_in(out)) == before


@uninspected_builds
@pytest.mark.slow
def test_another_block_or_version_is_drawn(site, out, tmp_path):
    blocks = tmp_path / "blocks"
    blocks.mkdir()
    shipped = FIRST.parents[2] / "blocks" / "title_block.dxf"
    doc: Any = read_dxf(shipped)
    doc.modelspace().add_line((0, 0), (5, 5))
    doc.saveas(blocks / "title_block.dxf")
    for option, value in (("--blocks", str(blocks)), ("--dxf", "R2010")):
        more = (option, value, "--door", "1", *EACH, "--prints", "none")
        build(site, out, *more)
        fresh = tmp_path / f"full{option}"
        with drawn.afresh():
            build(site, fresh, *more)
        assert bytes_in(out) == bytes_in(fresh)


@uninspected_builds
@pytest.mark.slow
def test_pictures_and_prints_stand_with_their_sheets(site, tmp_path):
    out, fresh = tmp_path / "out", tmp_path / "full"
    _remove_door(site)
    prints = ("--prints", "png", "--prints", "pdf", *EACH)
    build(site, out, *prints)
    before = {n: (out / "drawings" / n).stat().st_ino for n in ("set.pdf", "T-501-1.png")}
    build(site, out, *prints)
    assert {n: (out / "drawings" / n).stat().st_ino for n in before} == before
    _rename_door(site, "Street door", "Yard door")
    build(site, out, *prints)
    with drawn.afresh():
        build(site, fresh, *prints)
    assert bytes_in(out) == bytes_in(fresh)


def test_a_change_made_meanwhile_is_not_lost(tmp_path):
    out = tmp_path / "out"
    with whole_folder(out) as folder:
        (folder / "a.txt").write_text("one", "utf-8")
    with pytest.raises(OutputError, match=r"a\.txt"), whole_folder(out) as folder:
        (folder / "a.txt").write_text("two", "utf-8")
        (out / "a.txt").write_text("edited", "utf-8")
    assert (out / "a.txt").read_text("utf-8") == "edited"
    assert look_over(out).foreign == ("a.txt",)


@uninspected_builds
@pytest.mark.slow
def test_a_kill_while_keeping_edits_leaves_the_old_results(site, out):
    _hand(out / DOOR)
    _rename_door(site)
    before = bytes_in(out)

    def killed(*_: object) -> None:
        os.kill(os.getpid(), signal.SIGKILL)

    done = child.run("build", site, "-o", out, "--keep-edits", before=partial(setattr, building, "carry_over", killed))
    assert done.returncode == -signal.SIGKILL
    assert bytes_in(out) == before
    build(site, out, "--keep-edits", "--prints", "none")
    assert "Checked on site" in _texts(out / DOOR)
    assert CONTENTS in bytes_in(out)


def test_an_edited_drawing_that_cannot_be_read_stops_the_build(site, out):
    (out / DOOR).write_text("spoilt", "utf-8")
    before = bytes_in(out)
    told = run("build", site, "-o", out, "--keep-edits")
    assert told.exit_code == 2
    assert "T-501-1.dxf" in told.stderr
    assert "Traceback" not in told.output
    assert bytes_in(out) == before
