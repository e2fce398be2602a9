"""Papers for the crew in a folder of their own, by the command: all of them or those asked for, and nothing lost."""

from __future__ import annotations

import shutil
from pathlib import Path

import openpyxl
import pytest
from click.testing import Result

from tests.command import run

SITE = Path(__file__).parents[2] / "sample_drawings" / "first-look" / "site"


def field(*words: str | Path) -> Result:
    return run("field", SITE, *words)


@pytest.fixture(scope="module")
def one_door(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("field") / "papers"
    done = field("-o", out, "--door", "1")
    assert done.exit_code == 0, done.output
    assert "Packets of 1 door and 0 closets" in " ".join(done.output.split())
    return out


def test_one_door_gets_its_packet_and_the_site_its_lists(one_door: Path) -> None:
    names = {path.relative_to(one_door).as_posix() for path in one_door.rglob("*") if path.is_file()}
    both = {"door-1.pdf", "pick_list.pdf", "reel_plan.pdf"}
    assert names == {
        "contents.json", "kept.json", "schedules.xlsx", "field/labels.pdf",
        *(f"field/{name}" for name in both), *(f"field/telephone/{name}" for name in both),
        *(f"field/{name}.csv" for name in ("labels", "pick_list", "reel_plan")),
    }  # fmt: skip
    book = openpyxl.load_workbook(one_door / "schedules.xlsx")
    assert {row[0].value for row in book["field landings"].iter_rows(min_row=4) if row[0].value} == {"1"}


def test_a_door_or_closet_that_is_not_there_is_named(tmp_path: Path) -> None:
    for words, told in (
        (("--door", "7"), "no opening 7; the site has 1, 2"),
        (("--closet", "9Z"), "no closet 9Z; the site has TR-1, 1A"),
    ):
        done = field("-o", tmp_path / "papers", *words)
        assert done.exit_code == 2
        assert told in " ".join(done.output.split())
    assert not (tmp_path / "papers").exists()


def test_a_workbook_that_was_filled_in_is_not_written_over(one_door: Path) -> None:
    path = one_door / "schedules.xlsx"
    before = path.read_bytes()
    book = openpyxl.load_workbook(path)
    book["field crew"]["A4"] = "J. Rivers"
    book.save(path)
    filled = path.read_bytes()
    done = field("-o", one_door, "--door", "1")
    assert done.exit_code == 2
    assert "schedules.xlsx" in done.output
    assert path.read_bytes() == filled
    path.write_bytes(before)


def test_drawings_are_not_replaced_by_papers(first_look_results: Path) -> None:
    done = field("-o", first_look_results)
    assert done.exit_code == 2
    assert "holds drawings, which would be gone" in " ".join(done.output.split())


@pytest.mark.parametrize("command", ["page", "lesson"])
def test_drawings_are_not_replaced_by_a_page_or_lessons(first_look_results: Path, tmp_path: Path, command: str) -> None:
    out = Path(shutil.copytree(first_look_results, tmp_path / "out"))
    done = run(command, SITE, "-o", out)
    assert done.exit_code == 2
    assert "holds drawings, which would be gone" in " ".join(done.output.split())
    assert (out / "drawings" / "T-001.dxf").is_file()
    assert (first_look_results / "drawings" / "T-601.dxf").is_file()


def test_a_closet_is_found_by_its_label(tmp_path: Path) -> None:
    done = field("-o", tmp_path / "papers", "--closet", "1A")
    assert done.exit_code == 0, done.output
    assert sorted(p.name for p in (tmp_path / "papers" / "field").glob("*-*.pdf")) == ["closet-TR-1.pdf"]
