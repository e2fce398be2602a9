"""The next version of a list: what the user changed stays, what the document changed follows, both is a question."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from riserkit.results import replace_files
from riserkit.results.import_site import import_documents
from tests.importing.tables import report, rows, set_cells, texts
from tests.importing.workbooks import schedule


def test_the_same_again_changes_no_table(tmp_path: Path, site: Path) -> None:
    path = schedule(tmp_path / "doors.xlsx")
    import_documents([path], site)
    before = {p.name: p.read_bytes() for p in site.glob("*.csv")}
    done = import_documents([path], site)
    assert {p.name: p.read_bytes() for p in site.glob("*.csv")} == before
    assert not [line for line in done.lines if line.kind in ("changed", "moved", "conflict", "missing", "new")]


def test_cells_of_the_user_stay_and_others_follow(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    set_cells(site, "openings", "102", lock="strike-24-secure", name="Vault")
    set_cells(site, "openings", "103", width_m="1.1")
    # row 8 holds 102, row 9 holds 103
    import_documents([schedule(tmp_path / "doors.xlsx", B8=1000, B9=1200, H8="01")], site)
    doors = rows(site, "openings")
    assert doors["102"]["lock"] == "strike-24-secure"  # both changed it: yours stays
    assert doors["102"]["name"] == "Vault"
    assert doors["102"]["width_m"] == "1"  # only the document
    assert doors["103"]["width_m"] == "1.1"
    conflicts = {(line["row"], line["column"]): line for line in report(site, "conflict")}
    assert conflicts["103", "width_m"]["yours"] == "1.1"
    assert conflicts["103", "width_m"]["value"] == "1.2"
    assert conflicts["102", "lock"]["value"] == "strike-12-secure"
    assert "openings 102: width_m 0.915 is now 1" in texts(site, "widened")


def test_a_missing_door_is_marked_and_one_taken_out_stays_out(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    lines = (site / "openings.csv").read_text("utf-8").splitlines(keepends=True)
    (site / "openings.csv").write_text("".join(line for line in lines if not line.startswith("104,")), "utf-8")
    import_documents([schedule(tmp_path / "doors.xlsx", A8=901)], site)
    doors = rows(site, "openings")
    assert "104" not in doors
    assert "missing from the documents" in doors["102"]["remarks"]
    assert "901" in doors
    assert "you have taken it out" in texts(site, "taken out")
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    doors = rows(site, "openings")
    assert "missing" not in doors["102"]["remarks"]
    assert "missing from the documents" in doors["901"]["remarks"]
    assert "104" not in doors


def test_comments_order_and_columns_of_the_user_s_own_stay(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    text = (site / "openings.csv").read_text("utf-8")
    head, *body = text.splitlines(keepends=True)
    (site / "openings.csv").write_text("# my doors\n" + head + "".join(reversed(body)), "utf-8")
    import_documents([schedule(tmp_path / "doors.xlsx", B8=1000)], site)
    lines = (site / "openings.csv").read_text("utf-8").splitlines(keepends=True)
    assert lines[0] == "# my doors\n"
    assert [line for line in lines[2:] if not line.startswith("102,")] == [
        x for x in reversed(body) if not x.startswith("102,")
    ]


def test_a_dry_run_writes_nothing(tmp_path: Path, site: Path) -> None:
    done = import_documents([schedule(tmp_path / "doors.xlsx")], site, dry_run=True)
    assert not site.exists()
    assert any(line.kind == "new" for line in done.lines)


def test_a_failure_while_writing_leaves_everything_as_it_was(
    tmp_path: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    before = {p: p.read_bytes() for p in site.rglob("*") if p.is_file()}
    real, count = os.replace, 0

    def full(source: Path, target: Path) -> None:
        nonlocal count
        count += 1
        if count == 3:
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(replace_files.os, "replace", full)
    with pytest.raises(replace_files.ReplaceError, match="nothing was changed"):
        import_documents([schedule(tmp_path / "doors.xlsx", B8=1000)], site)
    assert {p: p.read_bytes() for p in site.rglob("*") if p.is_file()} == before


def test_an_import_that_was_killed_is_completed_by_the_next(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    staged = site / ".new"
    staged.mkdir()
    (staged / "openings.csv").write_text("mark,level,x_m,y_m\n9,L,0,0\n", "utf-8")
    replace_files.finish(site)  # without its list it was not whole: it is cleared away
    assert "9" not in rows(site, "openings")
    staged.mkdir()
    (staged / "openings.csv").write_text("mark,level,x_m,y_m\n9,L,0,0\n", "utf-8")
    (staged / "ready.json").write_text('["openings.csv", "../../outside.csv"]', "utf-8")
    replace_files.finish(site)
    assert set(rows(site, "openings")) == {"9"}
    assert not staged.exists()


def test_what_a_model_remarks_stays_when_a_list_remarks_too(tmp_path: Path, site: Path, shared_dir: Path) -> None:
    """The id of a door in the model, which a list knows nothing of, beside words of the list that have no column."""
    pytest.importorskip("ifcopenshell")
    import_documents([shared_dir / "real" / "documents" / "office.ifc"], site)
    ids = {
        mark: row["remarks"] for mark, row in rows(site, "openings").items() if row["remarks"].startswith("model id: ")
    }
    assert {"102", "103"} <= ids.keys()
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    after = {mark: row["remarks"] for mark, row in rows(site, "openings").items()}
    assert all(after[mark].startswith(said) for mark, said in ids.items())
    assert any(after[mark] != said for mark, said in ids.items()), "the list adds remarks of its own"
