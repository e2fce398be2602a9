"""One sheet that cannot be drawn: it says so, the index, findings and exit code say so, and all others are drawn."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.dxf.errors import BlockError, DrawingError, SheetError, TextError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.set import plan
from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.set.write import SetResult, write_set
from riserkit.findings import Finding
from riserkit.pipeline import check_site
from riserkit.starter.tables import write_starter
from tests.command import run
from tests.sweep import swept

ERRORS = {
    "no sheet is large enough": SheetError("the largest sheet cannot hold this"),
    "a text does not fit": TextError("a word is wider than its room"),
    "a fault of ours": RuntimeError("went wrong"),
    "too deep": RecursionError("maximum depth"),
}
FAILING = [(when, why) for when in ("planned", "drawn") for why in ERRORS]


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


@cache
def _starting() -> tuple[Design, tuple[Finding, ...]]:
    with tempfile.TemporaryDirectory() as place:
        write_starter(Path(place) / "site")
        checked = check_site(Path(place) / "site")
    return checked.design, checked.findings


def _write(folder: Path, **asked: Any) -> SetResult:
    options = SetOptions(**{"plans": False, "riser": False, "details": "each", "workers": 1, **asked})
    return write_set(Checked(*_starting()), folder, options)


def _build(site: Path) -> Any:
    return run("build", site, "-o", site.parent / "out", "--prints", "none")


def _texts(path: Path) -> str:
    doc = read_dxf(path)
    return " ".join(
        e.dxf.text if e.dxftype() == "TEXT" else e.text
        for layout in doc.layouts
        for e in layout
        if e.dxftype() in {"TEXT", "MTEXT"}
    )


def _fails(error: Exception, when: str) -> Callable[..., Any]:
    """A plan of sheets that fails for opening 101, at once or when it is drawn, and does what it did for others."""
    whole = plan.plan_door_sheets

    def raising() -> Any:
        raise error

    def broken(design: Any, door: Any, *rest: Any) -> Any:
        if door.mark != "101":
            return whole(design, door, *rest)
        if when == "planned":
            raise error
        return tuple(replace(sheet, draw=raising) for sheet in whole(design, door, *rest))

    return broken


@swept("failing", FAILING, [("planned", "a text does not fit"), ("drawn", "too deep")], slow=FAILING, ids="-".join)
def test_one_door_s_sheet_that_fails_is_on_hold_and_the_others_are_drawn(tmp_path, monkeypatch, failing):
    when, why = failing
    monkeypatch.setattr(plan, "plan_door_sheets", _fails(ERRORS[why], when))
    written = _write(tmp_path)
    failed = {sheet.sheet_id: sheet.failed for sheet in written.sheets if sheet.failed}
    assert failed.keys() == {"T-501-101"}
    assert str(ERRORS[why]) in failed["T-501-101"]
    assert ("internal error" in failed["T-501-101"]) is not isinstance(ERRORS[why], DrawingError)
    assert "HOLD - NOT DRAWN" in _texts(tmp_path / "T-501-101.dxf")
    assert "NOT DRAWN" not in _texts(tmp_path / "T-501-102.dxf")
    assert "HOLD: Door 101 Entrance, not drawn" in _texts(tmp_path / "T-001.dxf")
    drawn_from = {sheet.sheet_id for sheet in written.sheets if sheet.inputs}
    assert "T-501-102" in drawn_from
    assert not {"T-501-101", "T-001"} & drawn_from, "neither is taken over by the next build"


@pytest.mark.slow
def test_a_build_with_such_a_sheet_says_so_and_the_next_one_draws_it(site, monkeypatch):
    monkeypatch.setattr(plan, "plan_door_sheets", _fails(ERRORS["a fault of ours"], "drawn"))
    done = _build(site)
    assert done.exit_code == 1, done.output
    told = " ".join(done.output.split())
    assert "1 of the sheets NOT DRAWN" in told
    assert "Sheet T-501-101 is not drawn: internal error: went wrong" in told
    found = json.loads((site.parent / "out" / "findings.json").read_text("utf-8"))["findings"]
    assert [(f["subject"], f["severity"]) for f in found if f["rule"] == "sheet-not-drawn"] == [("101", "error")]
    monkeypatch.undo()
    assert _build(site).exit_code == 0
    drawings = site.parent / "out" / "drawings"
    assert "NOT DRAWN" not in _texts(drawings / "T-501-101.dxf").upper() + _texts(drawings / "T-001.dxf").upper()


@pytest.mark.parametrize(
    ("name", "sheet", "asked"),
    [
        ("set_plans", "T-101", {"plans": True}), ("plan_riser", "T-601", {"riser": True}),
        ("plan_schedules", "T-651", {}), ("plan_typicals", "T-511", {"details": "typical"}), ("plan_cover", "T-001", {}),
    ],
)  # fmt: skip
def test_a_part_of_the_set_that_fails_as_a_whole_is_one_such_sheet(tmp_path, monkeypatch, name, sheet, asked):
    def fail(*_: Any) -> Any:
        raise SheetError("a row is higher than the sheet")

    monkeypatch.setattr(plan, name, fail)
    written = _write(tmp_path, **{"doors": ("102",), **asked})
    assert [s.sheet_id for s in written.sheets if s.failed] == [sheet]
    assert "HOLD - NOT DRAWN" in _texts(tmp_path / f"{sheet}.dxf")
    assert (tmp_path / "T-501-102.dxf").is_file()
    assert name == "plan_cover" or "not drawn" in _texts(tmp_path / "T-001.dxf")


@pytest.mark.parametrize("error", [BlockError("no block"), OSError(28, "No space left on device"), MemoryError()])
@pytest.mark.parametrize("when", ["planned", "drawn"])
def test_what_every_sheet_would_fail_at_stops_the_set(tmp_path, monkeypatch, error, when):
    monkeypatch.setattr(plan, "plan_door_sheets", _fails(error, when))
    with pytest.raises(type(error)):
        _write(tmp_path)
