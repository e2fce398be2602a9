"""Lettering: widths against Pillow's reading of the same font, room never exceeded, nothing read as DXF code."""

from __future__ import annotations

import io
import unicodedata
from functools import cache
from typing import Any

import pytest
from ezdxf.filemanagement import read
from ezdxf.fonts import fonts
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from riserkit.drawings.dxf import text
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.document import new_document, to_bytes
from riserkit.drawings.dxf.errors import FontError, TextError
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.text import (
    ELLIPSIS,
    FALLBACK_FILE,
    FONT_FILE,
    escape_mtext,
    escape_text,
    fit_text,
    font_path,
    needs_fallback,
    shorten,
    shown_text,
    text_bounds_mm,
    text_width_mm,
    wrap,
)
from riserkit.drawings.prints import pdf as plot_pdf
from tests.sweep import tried

EM = 2048
SAMPLES = (
    "SWITCH SW-01",
    "01A-A17",
    "Door position switch",
    "Levels 00 to 03, closets 00A, 01A",
    "Ångström ñ €",
    "iiiiii",
)


@pytest.mark.parametrize("sample", SAMPLES)
def test_width_agrees_with_another_reader_of_the_font(sample: str) -> None:
    """FreeType through Pillow, letter by letter: as a whole it would kern, which CAD programs do not."""
    font = ImageFont.truetype(font_path(), EM)
    _, top, _, bottom = font.getbbox("A")
    expected = sum(font.getlength(letter) for letter in sample) / (bottom - top) * 3.5
    assert text_width_mm(sample, 3.5) == pytest.approx(expected, rel=1e-3)


def test_width_is_near_that_of_kerned_text() -> None:
    """Words without pairs that kern agree as a whole; 1 % is what the drawings may count on."""
    font = ImageFont.truetype(font_path(), EM)
    for sample in ("Door position switch", "101A", "closets 00A, 01A"):
        assert text_width_mm(sample, 1493) == pytest.approx(font.getlength(sample), rel=0.01)


def test_width_agrees_with_the_drawing_library() -> None:
    font = fonts.sideload_ttf(font_path(), 2.5)
    for sample in SAMPLES:
        assert text_width_mm(sample, 2.5) == pytest.approx(font.text_width(sample), rel=1e-6)


def test_bounds_agree_with_another_reader_of_the_font() -> None:
    font = ImageFont.truetype(font_path(), EM)
    _, top, _, bottom = font.getbbox("Ågj(", anchor="ls")
    low, high = text_bounds_mm("Ågj(", 1493)
    assert (low, high) == pytest.approx((-bottom, -top), abs=2)


def test_height_of_capitals_in_prints_is_that_of_the_font() -> None:
    font = TTFont(io.BytesIO(font_path().read_bytes()))
    assert font["glyf"]["A"].yMax / font["head"].unitsPerEm == pytest.approx(plot_pdf.CAP_HEIGHT)


def test_missing_font_fails_loudly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text, "FONT_FILE", "absent.ttf")
    with pytest.raises(FontError, match=r"absent\.ttf is missing"):
        font_path()
    with pytest.raises(FontError):
        new_document()


def test_licence_stands_beside_the_font() -> None:
    licence = font_path().parent / "LICENSE-DejaVu.txt"
    assert "Permission is hereby granted" in licence.read_text(encoding="utf-8")


@settings(max_examples=tried(40, 200))
@given(st.text(max_size=80), st.floats(12, 60), st.sampled_from([1.8, 2.5, 3.5]))
def test_wrapped_lines_stay_inside_and_lose_nothing(sample: str, width_mm: float, height_mm: float) -> None:
    lines = wrap(sample, width_mm, height_mm)
    assert all(text_width_mm(line, height_mm) <= width_mm + 1e-9 for line in lines)
    flat = "".join(shown_text(part) for part in sample.splitlines())
    assert "".join(lines).replace(" ", "") == "".join(flat.split())


@given(st.text(max_size=200), st.floats(9, 60), st.integers(1, 3))
def test_fitted_text_stays_inside_and_above_the_least_height(sample: str, width_mm: float, max_lines: int) -> None:
    fitted = fit_text(sample, width_mm, 5.0, 2.5, max_lines)
    assert fitted.width_mm <= width_mm + 1e-9
    assert fitted.height_mm in {5.0, 3.5, 2.5}
    assert 1 <= len(fitted.lines) <= max_lines
    assert fitted.complete != fitted.lines[-1].endswith(ELLIPSIS) or ELLIPSIS in sample


def test_fit_at_the_limit() -> None:
    """Exactly its width fits; a hair less takes the next height."""
    width = text_width_mm("Cable schedule", 5.0)
    assert fit_text("Cable schedule", width, 5.0, 2.5).height_mm == 5.0
    assert fit_text("Cable schedule", width - 1e-6, 5.0, 2.5).height_mm == 3.5


def test_a_wide_character_is_made_smaller_before_it_is_refused() -> None:
    """U+168F is the widest but a few of the font; at 5 mm it is wider than 8 mm, at 2.5 mm it is not."""
    assert fit_text("\u168f", 8, 5.0, 2.5).height_mm < 5.0
    with pytest.raises(TextError, match="make the box wider"):
        fit_text("\u168f", 1, 5.0, 2.5)


def test_shortened_text_ends_with_an_ellipsis() -> None:
    assert shorten("Door position switch", 20, 2.5).endswith(ELLIPSIS)
    with pytest.raises(TextError, match="make the box wider"):
        shorten("Door", 0.5, 2.5)
    with pytest.raises(TextError, match="make the box wider"):
        wrap("W", 1.0, 2.5)


def _round_trip(content: str, *, mtext: bool) -> str:
    doc = new_document()
    space = doc.modelspace()
    entity = space.add_mtext(content) if mtext else space.add_text(content)
    handle = entity.dxf.handle
    loaded = read(io.StringIO(to_bytes(doc).decode()))
    return str(loaded.entitydb[handle].plain_text())  # type: ignore[attr-defined]


def test_odd_names_survive_saving_and_reading(odd_names: tuple[str, ...]) -> None:
    """What is read back is what is shown, in TEXT and in MTEXT."""
    for name in odd_names:
        assert _round_trip(escape_text(name), mtext=False) == shown_text(name)
        one_line = " ".join(name.split())
        assert _round_trip(escape_mtext(one_line), mtext=True) == shown_text(one_line)


@settings(max_examples=tried(30, 200))
@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
def test_any_text_survives_saving_and_reading(name: str) -> None:
    assert _round_trip("." + escape_text(name) + ".", mtext=False) == f".{shown_text(name)}."


@cache
def _letters_of_the_font() -> frozenset[int]:
    return frozenset(TTFont(io.BytesIO(font_path().read_bytes()), lazy=True).getBestCmap())


@given(st.text(max_size=60))
def test_shown_text_is_printable_in_the_font_and_settled(name: str) -> None:
    shown = shown_text(name)
    assert shown_text(shown) == shown
    # letters of a script that it lacks are for the fallback font, and the text says so
    lacking = [char for char in shown if ord(char) not in _letters_of_the_font()]
    assert bool(lacking) == needs_fallback(name)
    assert all(unicodedata.category(char)[0] in "LMNPZ" for char in lacking)
    assert "%%" not in shown


def test_unknown_characters_are_told_apart() -> None:
    assert shown_text("🚪") != shown_text("🚫")
    assert shown_text("🚪") == "[1F6AA]"


def test_numbers_stay_with_their_units_and_short_ones_with_their_noun() -> None:
    """A space stands between number and unit (SI brochure, 9th edition, 5.4.3); no line ends there (common practice)."""
    assert wrap("Electric strike 12 V, fail-secure", 40, 2.5) == ("Electric strike 12 V,", "fail-secure")
    assert wrap("Manual release, 30 s timer", 30, 2.5) == ("Manual release,", "30 s timer")
    assert wrap("Door controller box, secured side, class 4", 40, 2.5)[-1] == "secured side, class 4"
    assert wrap("cat6-outdoor", 18.5, 2.5) == ("cat6-", "outdoor")
    assert wrap("DC supply 24 V 4 A with battery", 25, 2.5) == ("DC supply 24 V", "4 A with battery")
    for said in ("opening 107, 208, 209, 300", "supply 24 V 4 A 12 V", "1 2 3 V A m 4 5 6"):
        for width in (19, 23, 29, 60):
            assert " ".join(wrap(said, width, 2.5)) == said


def test_symbols_that_reach_into_the_next_line_stand_as_their_code() -> None:
    """Box drawing (Unicode block 2500) is made to touch from line to line; what a keyboard has is left alone."""
    assert shown_text("a│b╻") == "a[2502]b[257B]"
    kept = "".join(chr(code) for code in range(0x21, 0x7F)) + "°±×÷²³µΩ≤≥→€£✓■●▲≈√"
    assert shown_text(kept) == kept


def test_letters_of_any_script_stay_and_other_fonts_letters_are_told_apart() -> None:
    """Never a code point for a letter; what the shipped font lacks goes in a style that names the font to install."""
    for word, lacking in (
        ("дверь", False),
        ("Θύρα", False),
        ("דלת", False),
        ("باب", False),
        ("門", True),
        ("문", True),
        ("प", True),
    ):
        assert shown_text(word) == word
        assert needs_fallback(word) == lacking, word
        canvas = Canvas("T-601", sheet_size("A3"))
        canvas.text(word, (50, 50), 2.5)
        canvas.paragraph(f"{word} 1", (50, 40), 60)
        doc: Any = read(io.StringIO(canvas.to_bytes().decode()))
        styles = {e.dxf.style for e in doc.modelspace()}
        assert {doc.styles.get(name).dxf.font for name in styles} == {FALLBACK_FILE if lacking else FONT_FILE}
        assert not doc.audit().errors
    # an ideograph fills its em (Unicode, East Asian Width; common practice), so that no box is too narrow for it
    assert text_width_mm("門", 2.5) >= 2.5 * 1.3
