"""Pages written into one PDF with bookmarks, each let go as soon as it stands there; one of an earlier PDF is put in as it stood."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from functools import cache
from typing import BinaryIO, Final, NamedTuple

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFDocument,
    PDFName,
    PDFObject,
    PDFPage,
    PDFStream,
    PDFZCompress,
)
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas as PdfCanvas

from riserkit.drawings.dxf.reading import workable
from riserkit.drawings.dxf.text import font_path, needs_fallback
from riserkit.drawings.prints.archival import make_archival
from riserkit.drawings.prints.pdf import POINTS_PER_MM, Drawn, PdfPage, PdfPen, Photo, Shape, Strokes, Words

_FONT: Final = "RK"
_Codes = tuple[tuple[int, bytes], ...]


@cache
def _font() -> TTFont:
    font = TTFont(_FONT, str(font_path()))
    pdfmetrics.registerFont(font)
    return font


class PageInPdf(NamedTuple):
    """A page as it stands in a PDF, which another may take over.

    Args:
        name, width_mm, height_mm: as of `PdfPage`.
        letters: of its words, each once, in their order.
        codes: subset of the font, and codes in it, that runs of these letters have.
        is_whole: the font has them all.
        content: what it shows, compressed.
    """

    name: str
    width_mm: float
    height_mm: float
    letters: str
    codes: _Codes
    is_whole: bool
    content: bytes


class KnownPage(NamedTuple):
    """A page that stood in an earlier PDF, and what reads it anew where its letters have other codes in the next."""

    stood: PageInPdf
    anew: Callable[[], PdfPage]


def pdf_bytes(pages: Iterable[PdfPage], *, title: str = "") -> bytes:
    """The PDF as bytes, equal for equal pages; a bookmark a page. One page is held at a time, and the others compressed."""
    stream = io.BytesIO()
    printed(pages, io.BytesIO(), title=title)(stream)
    return stream.getvalue()


def printed(
    pages: Iterable[PdfPage | KnownPage], aside: BinaryIO, *, title: str = "",
    keep: Callable[[int, PageInPdf], None] | None = None,
) -> Callable[[BinaryIO], None]:  # fmt: skip
    """Print pages, and give what writes the PDF into a stream: neither holds more than one page in memory.

    Args:
        pages: asked for one after another.
        aside: an empty file that takes what the pages show until the PDF is written.
        title: of the document.
        keep: called for each page that was not taken over, with its number from 0 and what stands in the PDF.
    """
    _font()
    # invariant: no date, no random id
    pdf = PdfCanvas(io.BytesIO(), invariant=1, pageCompression=1, initialFontName=_FONT, pdfVersion=(1, 7))
    pdf.setTitle(title)
    whole = True
    for number, page in enumerate(pages):
        stands = _taken_over(pdf, page, number) if isinstance(page, KnownPage) else None
        if stands is None:
            stands = _printed(pdf, page.anew() if isinstance(page, KnownPage) else page, number)
            if keep is not None:
                keep(number, stands)
        whole = whole and stands.is_whole
        _put_aside(pdf, stands.content, aside)
    make_archival(pdf, title, claims=whole)

    def write(stream: BinaryIO) -> None:
        pdf._filename = stream
        pdf.save()

    return write


def _taken_over(pdf: PdfCanvas, page: KnownPage, number: int) -> PageInPdf | None:
    """A page without anything on it, for what stood in the earlier PDF; None where that would show other letters here."""
    stood = page.stood
    if _codes(pdf, stood.letters) != stood.codes:
        return None
    _begin(pdf, stood.name, stood.width_mm, stood.height_mm, number)
    pdf.showPage()
    return stood


def _printed(pdf: PdfCanvas, page: PdfPage, number: int) -> PageInPdf:
    texts = [item.text for item in page.drawn if isinstance(item, Words)]
    with workable(page.name, "printed"):
        _begin(pdf, page.name, page.width_mm, page.height_mm, number)
        for item in page.drawn:
            _print(pdf, item)
        pdf.showPage()
    letters = "".join(dict.fromkeys("".join(texts)))
    content: bytes = PDFZCompress.encode(pdf._doc.Pages.pages[-1].stream)
    is_whole = not any(map(needs_fallback, texts))
    return PageInPdf(page.name, page.width_mm, page.height_mm, letters, _codes(pdf, letters), is_whole, content)


def _codes(pdf: PdfCanvas, letters: str) -> _Codes:
    """Codes of letters in a PDF, which has the letters from now on; they are given out in the order in which letters come."""
    codes = tuple(_font().splitString(letters, pdf._doc))
    for subset, _ in codes:
        _font().getSubsetInternalName(subset, pdf._doc)
    return codes


def _put_aside(pdf: PdfCanvas, content: bytes, aside: BinaryIO) -> None:
    """Let go of what the last page shows, not when the file is written: a thousand pages would stand in memory."""
    page: PDFPage = pdf._doc.Pages.pages[-1]
    named = PDFDictionary({"Filter": PDFArray([PDFName(PDFZCompress.pdfname)])})
    page.Contents, page.stream = PDFStream(named, _Aside(content, pdf, aside)), None


class _Aside(PDFObject):  # type: ignore[misc]
    """What a page shows, in a file until it is asked for; then what stands before it in the PDF is written, and let go."""

    def __init__(self, content: bytes, pdf: PdfCanvas, aside: BinaryIO) -> None:
        self._pdf, self._aside, self._size = pdf, aside, len(content)
        self._at = aside.seek(0, io.SEEK_END)
        aside.write(content)

    def __len__(self) -> int:
        return self._size

    def format(self, document: PDFDocument) -> bytes:
        """As the library asks for it."""
        before = document.__accum__.strings
        self._pdf._filename.writelines(before)
        before.clear()
        self._aside.seek(self._at)
        return self._aside.read(self._size)


def _begin(pdf: PdfCanvas, name: str, width_mm: float, height_mm: float, number: int) -> None:
    key = f"sheet{number}"
    pdf.setPageSize((width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM))
    pdf.bookmarkPage(key)
    pdf.addOutlineEntry(name, key, level=0)
    pdf.setLineCap(1)
    pdf.setLineJoin(1)


def _print(pdf: PdfCanvas, item: Drawn) -> None:
    if isinstance(item, PdfPen):
        pdf.setStrokeColorRGB(*_rgb(item.color))
        pdf.setLineWidth(item.width)
    elif isinstance(item, Strokes):
        pdf.lines(item.ends)
    elif isinstance(item, Shape):
        _print_shape(pdf, item)
    elif isinstance(item, Photo):
        pdf.drawImage(ImageReader(io.BytesIO(item.data)), *item.box)
    else:
        string = pdf.beginText()
        string.setFont(_FONT, item.size)
        string.setTextRenderMode(0 if item.visible else 3)
        string.setFillColorRGB(*_rgb(item.color))
        string.setTextTransform(*item.matrix)
        string.textOut(item.text)
        # The mode outlives the text, and reportlab takes every text to begin visible.
        string.setTextRenderMode(0)
        pdf.drawText(string)


def _print_shape(pdf: PdfCanvas, shape: Shape) -> None:
    path = pdf.beginPath()
    for step, numbers in shape.segments:
        getattr(path, step)(*numbers)
    if shape.fill:
        pdf.setFillColorRGB(*_rgb(shape.fill))
    is_filled = int(bool(shape.fill))
    pdf.drawPath(path, stroke=1 - is_filled, fill=is_filled, fillMode=0 if shape.has_holes else None)


def _rgb(color: str) -> tuple[float, float, float]:
    return int(color[1:3], 16) / 255, int(color[3:5], 16) / 255, int(color[5:7], 16) / 255
