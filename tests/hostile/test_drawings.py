"""Drawings with values that no program would write: the sheet is named, whatever is wrong in it."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.legibility.sheet import inspect_sheet


def _no_view_height(doc: Any) -> None:
    doc.layout("T-101").add_viewport((100, 100), (200, 200), (0, 0), 0.0)


def _no_number(doc: Any) -> None:
    doc.layout("T-101").add_line((math.nan, 0), (1, 1))


def _circle_of_blocks(doc: Any) -> None:
    one, other = doc.blocks.new("ONE"), doc.blocks.new("OTHER")
    one.add_blockref("OTHER", (0, 0))
    other.add_blockref("ONE", (0, 0))
    one.add_text("x", height=2.5)
    doc.layout("T-101").add_blockref("ONE", (10, 10))


def _narrow_text(doc: Any) -> None:
    doc.layout("T-101").add_mtext("two words", dxfattribs={"width": 1.0, "char_height": 2.5, "insert": (50, 50)})


CASES: dict[str, Callable[[Any], None]] = {
    "view of height 0": _no_view_height, "line to nowhere": _no_number, "blocks in a circle": _circle_of_blocks,
    "text 1 mm wide": _narrow_text,
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_sheet_is_inspected_or_named(tmp_path, case):
    doc = ezdxf.new("R2018", setup=True)
    doc.layouts.rename("Layout1", "T-101")
    doc.layout("T-101").page_setup((420, 297), margins=(0, 0, 0, 0))
    CASES[case](doc)
    path: Path = tmp_path / "T-101.dxf"
    doc.saveas(path)
    try:
        found = inspect_sheet(path)
    except DrawingError as error:
        assert "T-101.dxf" in str(error)
        assert case != "text 1 mm wide", "an honest edit"
    else:
        assert found.sheet == "T-101"
        assert found.letters == (2 if case == "text 1 mm wide" else found.letters)
        assert all(math.isfinite(v.x_mm) and math.isfinite(v.measured) for v in found.violations)
