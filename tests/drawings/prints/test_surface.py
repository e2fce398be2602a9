"""A diagram put straight on a page shows what the sheet's canvas prints of it: the same words at the same places, the same ink."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pypdfium2
import pytest

from riserkit.checked import Checked
from riserkit.drawings.door.devices import labelled
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.prints.pdf import PdfPage, Words
from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.drawings.prints.pen import PagePen, picture_of
from riserkit.drawings.prints.surface import PictureSurface
from riserkit.drawings.wiring.draw import draw_wiring
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.values import Style
from riserkit.standards.sheets import PaperSize


def greys(page: PdfPage, scale: float = 2.0) -> np.ndarray:
    """From 0 for white to 1 for black."""
    with pypdfium2.PdfDocument(pdf_bytes([page])) as pdf:
        return 1 - np.asarray(pdf[0].render(scale=scale, grayscale=True).to_pil().convert("L")) / 255


def ink(page: PdfPage) -> np.ndarray:
    return greys(page) > 0.5


def words(page: PdfPage) -> list[tuple[str, float, float, float]]:
    found = (item for item in page.drawn if isinstance(item, Words) and item.text.strip())
    return sorted((w.text, w.matrix[4], w.matrix[5], w.size) for w in found)


@pytest.fixture(scope="module")
def pair(checked_sample: Callable[[str], Checked]) -> tuple[PdfPage, PdfPage]:
    design = checked_sample("first-look").design
    door = design.door["2"]
    netlist = door.wiring.netlist
    assert netlist is not None
    diagram = lay_out(labelled(design, door, netlist), Style(), 200.0)
    width, height = diagram.width_mm + 20, diagram.height_mm + 20
    canvas = Canvas("T", PaperSize("ISO", "own", width, height))
    surface = PictureSurface(width, height)
    draw_wiring(canvas, diagram, (10, 10), "opening:2")
    draw_wiring(surface, diagram, (10, 10), "opening:2")
    return picture_of(canvas), surface.picture()


def test_words_stand_where_the_sheet_has_them(pair: tuple[PdfPage, PdfPage]) -> None:
    sheet, picture = map(words, pair)
    assert len(sheet) > 60
    assert [word[0] for word in picture] == [word[0] for word in sheet]
    # a drawing's points are rounded to a thousandth of a millimetre
    for one, other in zip(picture, sheet, strict=True):
        assert one[1:] == pytest.approx(other[1:], abs=0.01)


def test_the_ink_is_the_same_symbols_included(pair: tuple[PdfPage, PdfPage]) -> None:
    sheet, picture = map(ink, pair)
    assert sheet.shape == picture.shape
    # a stroke may fall a pixel beside the other's; a symbol left out is hundreds
    wide = np.zeros_like(sheet)
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            wide |= np.roll(sheet, (down, right), (0, 1))
    wider = np.zeros_like(picture)
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            wider |= np.roll(picture, (down, right), (0, 1))
    assert sheet.sum() > 10_000
    assert (picture & ~wide).sum() < 20
    assert (sheet & ~wider).sum() < 20


def test_a_picture_on_a_page_is_moved_and_made_smaller_as_a_whole(pair: tuple[PdfPage, PdfPage]) -> None:
    _, picture = pair
    pen = PagePen("page", picture.width_mm / 2 + 10, picture.height_mm / 2 + 10)
    pen.picture(picture, (10, 10), 0.5)
    placed, shift = pen.page(), 10 / 25.4 * 72
    own = {(w.text, round(w.matrix[4] / 2 + shift, 3)) for w in picture.drawn if isinstance(w, Words)}
    assert own == {(w.text, round(w.matrix[4], 3)) for w in placed.drawn if isinstance(w, Words)}
    # as large again on the screen, it is the same picture
    assert greys(placed, 4.0).sum() == pytest.approx(greys(picture, 2.0).sum(), rel=0.02)
