"""Lettering on every kind of sheet: whole, high enough on imperial sites, and clear of lines in another font's widths."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from reportlab.pdfbase import pdfmetrics

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.dxf import text
from riserkit.drawings.dxf.text import ELLIPSIS
from riserkit.drawings.legibility.read import read_sheet
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.legibility.values import Lettering
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.results.build import sheet_tables, site_tables
from riserkit.standards.sheets import TEXT_HEIGHT_MIN_MM

CAP_HEIGHT = 0.716
"""Of Arial and of the open fonts with its metrics, over the em (from memory); their widths are those of Helvetica, as
published in its Adobe font metrics, which reportlab has."""
KINDS = ("T-001", "T-101", "T-501", "T-511", "T-601", "T-651")


@pytest.fixture(scope="module")
def sheets(checked_sample: Callable[[str], Checked], tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    """Every kind of sheet, of the first look in feet and inches."""
    checked, folder = checked_sample("first-look"), tmp_path_factory.mktemp("imperial")
    info = checked.design.site.info.model_copy(update={"unit_system": "imperial", "sheet_series": "ARCH"})
    made = Checked(design(checked.design.site.model_copy(update={"info": info})), checked.findings)
    tables = sheet_tables(site_tables(made))[:6]
    jobs = plan_set(made, SetOptions(tables=tables, doors=("2",), details="typical"))
    for job in jobs:
        job.draw().save(folder / job.file_name)
    assert {job.sheet_id[:5] for job in jobs} >= set(KINDS)
    return tuple(folder / job.file_name for job in jobs)


@pytest.fixture(scope="module")
def letters(sheets: tuple[Path, ...]) -> tuple[Lettering, ...]:
    """All texts on them."""
    return tuple(letter for path in sheets for letter in read_sheet(path).letters)


@pytest.fixture
def arial_widths(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Texts are measured as a program without the shipped font sets them."""
    ours = text._Font.advance

    def advance(font: text._Font, char: str) -> float:
        if not char.isascii():
            return ours(font, char)
        return float(pdfmetrics.stringWidth(char, "Helvetica", 1.0)) / CAP_HEIGHT

    measured = (text._width_in_heights, text.wrap)
    monkeypatch.setattr(text._Font, "advance", advance)
    for known in measured:
        known.cache_clear()
    yield
    for known in measured:
        known.cache_clear()


@pytest.mark.slow
def test_no_text_runs_into_anything_in_a_font_of_arial_s_widths(sheets: tuple[Path, ...], arial_widths: None) -> None:
    assert text.text_width_mm("REQ", 1.0) == pytest.approx((0.722 + 0.667 + 0.778) / CAP_HEIGHT)
    told = [(v.sheet, v.zone, v.message) for path in sheets for v in inspect_sheet(path).violations]
    assert told == []


def test_all_letters_are_three_thirty_seconds_of_an_inch_high(letters: tuple[Lettering, ...]) -> None:
    """What NCS asks (from memory)."""
    small = [(letter.text, letter.height_mm) for letter in letters if letter.height_mm < TEXT_HEIGHT_MIN_MM - 1e-6]
    assert small == []


@pytest.mark.slow
def test_nothing_is_illegible_in_feet_and_inches(sheets: tuple[Path, ...]) -> None:
    assert [v.message for path in sheets for v in inspect_sheet(path).violations] == []


def test_no_words_are_cut(letters: tuple[Lettering, ...]) -> None:
    assert len(letters) > 500
    assert [letter.text for letter in letters if ELLIPSIS in letter.text] == []
