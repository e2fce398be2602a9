"""Pictures and prints: true size, true scale, all text found again, the same bytes, nothing off its place."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pypdf
import pytest
from PIL import Image
from pypdf.generic import ContentStream

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.text import FALLBACK_FILE, needs_fallback, shown_text, text_width_mm, with_code_points
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.dxf.view import View
from riserkit.drawings.prints import pdf as plot_pdf
from riserkit.drawings.prints.pdf_file import printed
from riserkit.drawings.prints.render import render_pdf, render_png, render_svg
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.standards.sheets import SHEET_SIZES
from tests.sweep import swept

MM = 72 / 25.4


@pytest.fixture
def saved(tmp_path: Path, make_sheet: Callable[..., Canvas]) -> Path:
    """The small sheet, saved."""
    path = tmp_path / "T-601.dxf"
    make_sheet(with_dimension=True).save(path)
    return path


def _pdf(paths: list[Path], folder: Path) -> pypdf.PdfReader:
    render_pdf(paths, folder / "set.pdf", title="Archive annex")
    return pypdf.PdfReader(io.BytesIO((folder / "set.pdf").read_bytes()))


def _segments_mm(page: Any, reader: pypdf.PdfReader) -> list[tuple[float, float, float, float]]:
    """Straight strokes of a page, read off its content stream, in mm from the lower left corner."""
    segments, at = [], (0.0, 0.0)
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"m", b"l"):
            to = float(operands[0]) / MM, float(operands[1]) / MM
            if operator == b"l":
                segments.append((*at, *to))
            at = to
    return segments


@swept("names", [tuple(SHEET_SIZES), ("ISO A4", "ANSI E", "ARCH B")], push=[("ISO A4", "ANSI E", "ARCH B")])
def test_pages_have_the_sheets_size(names: tuple[str, ...], tmp_path: Path, sample_title: TitleBlock) -> None:
    """Every size, to 0.1 mm, as pypdf reads the page."""
    sizes = {name: SHEET_SIZES[name] for name in names}
    paths = []
    for name, size in sizes.items():
        canvas = Canvas(name, size)
        SheetFrame(size, sample_title).draw(canvas)
        paths.append(tmp_path / f"{name}.dxf")
        canvas.save(paths[-1])
    reader = _pdf(paths, tmp_path)
    assert len(reader.pages) == len(sizes)
    for page, size in zip(reader.pages, sizes.values(), strict=True):
        assert float(page.mediabox.width) / MM == pytest.approx(size.width_mm, abs=0.1)
        assert float(page.mediabox.height) / MM == pytest.approx(size.height_mm, abs=0.1)
    assert [entry["/Title"] for entry in reader.outline] == list(sizes)
    assert [reader.get_destination_page_number(entry) for entry in reader.outline] == list(range(len(sizes)))


def test_a_line_of_100_mm_measures_100_mm_where_it_was_drawn(saved: Path, tmp_path: Path) -> None:
    reader = _pdf([saved], tmp_path)
    wanted = np.array([40, 60, 140, 60])
    found = [s for s in _segments_mm(reader.pages[0], reader) if np.allclose(s, wanted, atol=0.01)]
    assert len(found) == 1


def test_code_points_of_letters_that_no_font_has_take_the_room_of_the_letters(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At their own width they ran over the next cell of a table, and neither could be read."""
    known = plot_pdf.font_manager.has_font
    monkeypatch.setattr(plot_pdf.font_manager, "has_font", lambda name: name != FALLBACK_FILE and known(name))
    name, at = "会议室 三楼", (60.0, 100.0)
    canvas = Canvas("T-601", sheet_size("A3"))
    canvas.text(name, at, 2.5)
    canvas.save(tmp_path / "T-601.dxf")
    (words,) = plot_pdf.page_at(tmp_path / "T-601.dxf").drawn
    assert isinstance(words, plot_pdf.Words)
    across, _, _, up, left, _ = words.matrix
    assert words.text == "[4F1A][8BAE][5BA4] [4E09][697C]"
    assert across / up * text_width_mm(words.text, 2.5) == pytest.approx(text_width_mm(name, 2.5))
    assert left / MM == pytest.approx(at[0])


def test_a_plan_at_one_to_fifty_measures_true(tmp_path: Path) -> None:
    """5 m of the model are 100 mm of paper; the text's height stays that of paper."""
    canvas = Canvas("T-101", sheet_size("A3"), view=View(Rect(30, 70, 330, 270), (10000, 5000), 50))
    canvas.line((7500, 5000), (12500, 5000), layers.WALL)
    canvas.text("Room 101", (10000, 5100), 2.5)
    canvas.save(tmp_path / "T-101.dxf")
    reader = _pdf([tmp_path / "T-101.dxf"], tmp_path)
    assert any(np.allclose(s, [130, 170, 230, 170], atol=0.01) for s in _segments_mm(reader.pages[0], reader))
    sizes: list[float] = []

    def note(text: str, cm: Any, tm: Any, _font: Any, size: float) -> None:
        if text.strip():
            sizes.append(size * tm[3] * cm[3])
            assert (tm[4] / MM, tm[5] / MM) == pytest.approx((180, 172), abs=0.01)

    reader.pages[0].extract_text(visitor_text=note)
    # height of capitals: 1493 of 2048 units to the em (the font's own table)
    assert sizes == pytest.approx([2.5 * MM / 1493 * 2048], rel=1e-3)


def test_all_text_is_found_in_the_print(
    saved: Path, tmp_path: Path, odd_names: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Letters that no font at hand has are printed as their code points: an empty box would be taken for any letter."""
    monkeypatch.setattr(plot_pdf.font_manager, "has_font", lambda name: False)
    text = _pdf([saved], tmp_path).pages[0].extract_text()
    squeezed = "".join(text.split())
    doc: Any = read_dxf(saved)
    strings = [e.plain_text() for e in doc.modelspace() if e.dxftype() in {"TEXT", "MTEXT"}]
    strings += [a.dxf.text for e in doc.layouts.get("T-601") if e.dxftype() == "INSERT" for a in e.attribs]
    strings += ["Created by", "Identification number", "1 050"]
    assert len(strings) > len(odd_names) + 15
    for string in strings:
        assert "".join(with_code_points(string).split()) in squeezed
    assert any(needs_fallback(name) for name in odd_names)
    for name in odd_names:
        assert "".join(with_code_points(shown_text(name)).split()) in squeezed


@pytest.mark.slow
def test_text_in_another_font_is_still_found(saved: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawn as outlines, with the same text invisible (render mode 3) over each."""
    monkeypatch.setattr(plot_pdf, "FONT_FILE", "another.ttf")
    reader = _pdf([saved], tmp_path)
    assert "Municipal Archive Trust" in reader.pages[0].extract_text()
    operations = ContentStream(reader.pages[0].get_contents(), reader).operations
    modes = [int(operands[0]) for operands, operator in operations if operator == b"Tr"]
    shows = sum(operator in (b"Tj", b"TJ", b"'") for _, operator in operations)
    # Back to visible after each: the mode outlives its text, and what comes later would not be seen.
    assert modes == [3, 0] * shows
    assert sum(operator == b"f*" for _, operator in operations) >= shows


def test_the_font_is_embedded(saved: Path, tmp_path: Path) -> None:
    fonts: Any = _pdf([saved], tmp_path).pages[0]["/Resources"]["/Font"]
    embedded = [f.get_object() for f in fonts.values() if "DejaVu" in f.get_object()["/BaseFont"]]
    assert embedded
    assert all("/FontFile2" in f["/FontDescriptor"].get_object() for f in embedded)


def test_prints_and_pictures_come_out_the_same_twice(saved: Path, tmp_path: Path) -> None:
    """Wherever the dice stand: the drawing library throws them for hatches."""
    contents: dict[str, set[bytes]] = {"a.svg": set(), "a.png": set(), "a.pdf": set()}
    for seed in (1, 2):
        random.seed(seed)
        before = random.getstate()
        render_svg(saved, tmp_path / "a.svg")
        render_png(saved, tmp_path / "a.png")
        render_pdf([saved, saved], tmp_path / "a.pdf")
        assert random.getstate() == before
        for name, found in contents.items():
            found.add((tmp_path / name).read_bytes())
    assert {name: len(found) for name, found in contents.items()} == {"a.svg": 1, "a.png": 1, "a.pdf": 1}


def test_picture_has_true_size_and_lines_in_their_place(saved: Path, tmp_path: Path) -> None:
    """At 254 dpi a pixel is 0.1 mm: the frame is where ISO 5457 wants it, 0.7 mm wide."""
    render_png(saved, tmp_path / "a.png", dpi=254)
    with Image.open(tmp_path / "a.png") as picture:
        pixels = np.asarray(picture.convert("L"))
    assert pixels.shape == (2970, 4200)
    # a row of paper clear of text, at 200 mm from the bottom
    row = pixels[2970 - 2000]
    dark = np.flatnonzero(row[180:220] < 128) + 180
    assert dark.mean() / 10 == pytest.approx(20, abs=0.1)
    assert len(dark) == pytest.approx(7, abs=1)
    column = pixels[:, 600]
    dark = np.flatnonzero(column[2970 - 605 : 2970 - 595] < 128)
    assert len(dark) == pytest.approx(3.5, abs=1), "the 0.35 mm line of 100 mm at 60 mm from the bottom"
    assert pixels[0, 0] == 255


def test_letters_keep_their_holes(tmp_path: Path) -> None:
    """Filled outlines with holes: the middle of an O is white, its stroke black."""
    canvas = Canvas("T-601", sheet_size("A4"))
    canvas.text("O", (100, 100), 20, "middle")
    canvas.save(tmp_path / "o.dxf")
    render_png(tmp_path / "o.dxf", tmp_path / "o.png", dpi=100)
    with Image.open(tmp_path / "o.png") as picture:
        pixels = np.asarray(picture.convert("L"))
    y, x = round((210 - 100) / 25.4 * 100), round(100 / 25.4 * 100)
    assert pixels[y, x] == 255
    assert pixels[y, x - 40 : x].min() == 0
    assert pixels[y, x : x + 40].min() == 0


def test_svg_has_true_size(saved: Path, tmp_path: Path) -> None:
    render_svg(saved, tmp_path / "a.svg")
    root = ET.fromstring((tmp_path / "a.svg").read_text(encoding="utf-8"))
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    box = [float(v) for v in (root.get("viewBox") or "").split()]
    assert box[2] / box[3] == pytest.approx(420 / 297, rel=1e-3)
    paths = [path.get("d") or "" for path in root.findall(".//{http://www.w3.org/2000/svg}path")]
    assert len(paths) > 100
    # the line of 100 mm from (40, 60), the sheet's 420 mm being a million units
    unit = 1_000_000 / 420
    words = f"M {40 * unit:.0f} {(297 - 60) * unit:.0f} l {100 * unit:.0f} 0"
    assert words in paths


def test_edges_of_views_are_not_printed(tmp_path: Path) -> None:
    """What stands on the layer that does not plot is in no print."""
    canvas = Canvas("T-601", sheet_size("A4"))
    canvas.line((50, 50), (90, 50), layers.NO_PLOT)
    canvas.save(tmp_path / "a.dxf")
    reader = _pdf([tmp_path / "a.dxf"], tmp_path)
    assert not _segments_mm(reader.pages[0], reader)


def test_what_cannot_be_rendered_is_told(tmp_path: Path, saved: Path) -> None:
    (tmp_path / "bad.dxf").write_bytes(b"\x89PNG\r\n\x1a\n")
    for path in (tmp_path / "bad.dxf", tmp_path / "absent.dxf"):
        with pytest.raises(DrawingError, match="cannot be read"):
            render_png(path, tmp_path / "a.png")
    with pytest.raises(DrawingError, match="choose 10 to 1200"):
        render_png(saved, tmp_path / "a.png", dpi=1e6)
    with pytest.raises(DrawingError, match="at least one"):
        render_pdf([], tmp_path / "a.pdf")
    with pytest.raises(DrawingError, match="cannot write"):
        render_svg(saved, tmp_path / "absent" / "a.svg")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["T-601.dxf", "bad.dxf"]


class _Noted(io.BytesIO):
    """Notes the longest run of bytes handed over at once."""

    longest = 0

    def write(self, data: Any) -> int:
        self.longest = max(self.longest, len(data))
        return super().write(data)

    def writelines(self, lines: Any) -> None:
        self.write(b"".join(lines))


def test_a_print_of_many_pages_is_never_whole_in_memory() -> None:
    """What pages show waits in the file given for it, and is written page by page."""
    numbers = random.Random(7)
    pages = [
        plot_pdf.PdfPage(
            str(n), 400.0, 300.0,
            (plot_pdf.Strokes(tuple((*(numbers.uniform(0, 800) for _ in range(4)),) for _ in range(900))),),
        )
        for n in range(30)
    ]  # fmt: skip
    aside, stream = io.BytesIO(), _Noted()
    printed(pages, aside, title="Many")(stream)
    whole, shown = len(stream.getvalue()), len(aside.getvalue())
    assert shown > 0.8 * whole
    assert stream.longest < whole / 10
    assert [len(page.get_contents().get_data()) > 10_000 for page in pypdf.PdfReader(stream).pages] == 30 * [True]
