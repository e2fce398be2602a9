"""Tables of the bench that an earlier page has: taken over where they are of the same circuit, and never where there is any doubt."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from riserkit import kept as kept_module
from riserkit.kept import KeptWork
from riserkit.page import bench as bench_module
from riserkit.page.bench import BENCH_FOLDER, bench_file, script_of_before, write_bench
from riserkit.plugin.read import read_site
from riserkit.reports.explained import wiring_of
from riserkit.results.kept_file import read_kept, write_kept
from riserkit.results.page_site import page_site
from riserkit.wiring.arrangement import DoorCircuit
from tests.page.conftest import FIRST_LOOK, FREE, HELD
from tests.proven import UnnotedPatch


@pytest.fixture
def patched() -> Iterator[pytest.MonkeyPatch]:
    with UnnotedPatch.context() as context:
        yield context


@pytest.fixture(scope="module")
def circuit() -> DoorCircuit:
    found = wiring_of(read_site(FIRST_LOOK), FREE).circuit
    assert found is not None
    return found


@pytest.fixture
def written(circuit: DoorCircuit, tmp_path: Path) -> tuple[Path, dict[str, Any]]:
    """The folder of a page with one table in it, and what is kept of it."""
    (tmp_path / BENCH_FOLDER).mkdir()
    kept = KeptWork()
    write_bench(circuit, "the table\n", kept, tmp_path)
    return tmp_path, dict(kept.entries)


def _longer_wire(circuit: DoorCircuit) -> DoorCircuit:
    netlist = circuit.netlist
    first, *others = netlist.conductors
    longer = replace(first, r20_ohm=first.r20_ohm + 1e-12)
    return replace(circuit, netlist=replace(netlist, conductors=(longer, *others)))


def test_a_table_is_taken_over_and_kept_for_the_page_after_the_next(circuit: DoorCircuit, written: Any) -> None:
    folder, entries = written
    kept = KeptWork(entries)
    assert script_of_before(circuit, kept, folder) == "the table\n"
    assert dict(kept.entries) == entries


@pytest.mark.parametrize("change", ["a wire", "the code", "the plugins", "the file", "no file", "no folder"])
def test_a_table_is_worked_out_anew_where_anything_changed(
    circuit: DoorCircuit, written: Any, patched: pytest.MonkeyPatch, change: str
) -> None:
    folder, entries = written
    made_with, file = "", next((folder / BENCH_FOLDER).iterdir())
    match change:
        case "a wire":
            circuit = _longer_wire(circuit)
            assert bench_module.topology_name(circuit) == file.stem  # what does not reach the file's name counts too
        case "the code":
            patched.setattr(kept_module, "own_code", lambda: "other")
        case "the plugins":
            made_with = "another"
        case "the file":
            file.write_text("the tabel\n", "utf-8")
        case "no file":
            file.unlink()
        case _:
            folder = folder / "elsewhere"
    assert script_of_before(circuit, KeptWork(entries, made_with), folder) is None


def test_records_of_a_page_and_of_a_build_are_read_together(tmp_path: Path, patched: pytest.MonkeyPatch) -> None:
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folders = [tmp_path / "page", tmp_path / "results"]
    for folder in folders:
        folder.mkdir()
        kept = KeptWork()
        kept.keep("where", folder.name, folder.name, str, str)
        write_kept(folder, kept)
    both = read_kept(folders, "")
    assert [both.found("where", folder.name, str) for folder in folders] == ["page", "results"]
    assert read_kept(folders[:1], "").found("where", "results", str) is None


def _table(site: Path, mark: str) -> str:
    circuit = wiring_of(read_site(site), mark).circuit
    assert circuit is not None
    return bench_module.topology_name(circuit)


@pytest.mark.slow
def test_a_second_page_works_out_the_tables_of_changed_doors_only(tmp_path: Path, patched: pytest.MonkeyPatch) -> None:
    """And has the bytes of a page worked out from nothing, its record aside."""
    solved: list[str] = []

    def told(circuit: DoorCircuit) -> str:
        solved.append(bench_module.topology_name(circuit))
        return bench_file(circuit)

    patched.setattr("riserkit.page.write.bench_file", told)
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    site = tmp_path / "site"
    shutil.copytree(FIRST_LOOK, site)
    page_site(site, tmp_path / "page")
    assert len(solved) == 2
    tables = sorted(path.name for path in (tmp_path / "page" / BENCH_FOLDER).iterdir())
    before = read_site(site)
    rows = (site / "openings.csv").read_text("utf-8")
    assert "Street door,L1,9,0," in rows
    (site / "openings.csv").write_text(rows.replace("Street door,L1,9,0,", "Street door,L1,8,0,"), "utf-8")
    assert wiring_of(before, HELD).circuit == wiring_of(read_site(site), HELD).circuit
    solved.clear()
    page_site(site, tmp_path / "page")
    assert solved == [_table(site, FREE)]
    solved.clear()
    page_site(site, tmp_path / "new")
    assert len(solved) == 2
    assert sorted(path.name for path in (tmp_path / "new" / BENCH_FOLDER).iterdir()) == tables
    for path in sorted(p for p in (tmp_path / "new").rglob("*") if p.is_file() and p.suffix != ".json"):
        assert path.read_bytes() == (tmp_path / "page" / path.relative_to(tmp_path / "new")).read_bytes(), path
