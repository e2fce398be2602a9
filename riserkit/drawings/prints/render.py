"""Pictures and prints of drawings: SVG, PNG, and one PDF of a set, read from the DXF files."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Final

from ezdxf.addons.drawing import layout
from ezdxf.addons.drawing.svg import SVGBackend
from ezdxf.math import BoundingBox2d

from riserkit.drawings.dxf.document import write_whole
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.reading import workable
from riserkit.drawings.prints.kept_pages import KeptPages
from riserkit.drawings.prints.page_text import packed, unpacked
from riserkit.drawings.prints.pdf import PdfPage, page_at, page_of
from riserkit.drawings.prints.pdf_file import KnownPage, PageInPdf, pdf_bytes, printed
from riserkit.drawings.prints.strokes import PlottedSheet, plot, read_sheet
from riserkit.drawings.processes import cores, done_in_order

_LEAST_SHARED: Final = 8
"""Sheets below which a second process costs more than it saves."""


def render_svg(dxf_path: Path, svg_path: Path) -> None:
    """The drawing's first sheet as SVG at true size.

    Raises:
        DrawingError: the drawing cannot be read, or the picture cannot be written.
    """
    sheet, backend = read_sheet(dxf_path), SVGBackend()
    with workable(dxf_path.name, "printed"):
        plot(sheet, backend)
    page = layout.Page(sheet.width_mm, sheet.height_mm, layout.Units.mm)
    # without a fixed box the content would be centred by its own extent
    box = BoundingBox2d([(0, 0), (sheet.width_mm, sheet.height_mm)])
    text = backend.get_string(page, settings=layout.Settings(fit_page=False, scale=1), render_box=box)
    write_whole(svg_path, text.encode())


def render_png(dxf_path: Path, png_path: Path, dpi: float = 150) -> None:
    """The drawing's first sheet as PNG at true size for the resolution given.

    Raises:
        DrawingError: the drawing cannot be read, the picture cannot be written, or the resolution is absurd.
    """
    if not 10 <= dpi <= 1200:
        raise DrawingError(f"a resolution of {dpi:g} dots per inch is not drawn; choose 10 to 1200")
    sheet = read_sheet(dxf_path)
    with workable(dxf_path.name, "printed"):
        write_whole(png_path, png_bytes(sheet, dpi))


def render_pdf(
    dxf_paths: Sequence[Path], pdf_path: Path, *, title: str = "", workers: int | None = None,
    progress: Callable[[int], None] | None = None, kept: KeptPages | None = None,
) -> None:  # fmt: skip
    """One vector PDF of all drawings' first sheets, at true scale, with bookmarks and searchable text.

    Args:
        dxf_paths: the drawings, in the order of the pages.
        pdf_path: where it goes.
        title: of the document.
        workers: processes that read and plot; None takes what the machine has. The bytes are the same either way.
        progress: called with how many pages are printed.
        kept: pages known from before, and where the others are kept; all are read off the drawings when left out.

    Raises:
        DrawingError: no drawing given, one cannot be read, or the PDF cannot be written.
    """
    if not dxf_paths:
        raise DrawingError("no drawings to print; give at least one")

    def print_them(paths: Sequence[Path]) -> Iterator[PdfPage]:
        return done_in_order(page_at, paths, workers or cores(), _LEAST_SHARED, "printed")

    pages = print_them(dxf_paths) if kept is None else _with_kept(dxf_paths, kept, print_them)
    keep = None if kept is None else partial(_keep, kept, dxf_paths)
    # What a thousand sheets show takes tens of megabytes: it waits on the disk that takes the PDF, not in memory.
    with tempfile.TemporaryFile(dir=pdf_path.parent) as aside:
        write_whole(pdf_path, printed(_counted(pages, progress), aside, title=title, keep=keep))


def _with_kept(
    paths: Sequence[Path], kept: KeptPages, print_them: Callable[[Sequence[Path]], Iterator[PdfPage]]
) -> Iterator[PdfPage | KnownPage]:
    """The pages in order, those not known as they are printed."""
    known = {path: text for path in paths if (text := kept.found(path)) is not None}
    printed_now = print_them([path for path in paths if path not in known])
    for path in paths:
        yield KnownPage(unpacked(known[path]), partial(page_at, path)) if path in known else next(printed_now)


def _keep(kept: KeptPages, paths: Sequence[Path], number: int, page: PageInPdf) -> None:
    kept.keep(paths[number], packed(page))


def _counted(
    pages: Iterable[PdfPage | KnownPage], progress: Callable[[int], None] | None
) -> Iterator[PdfPage | KnownPage]:
    for count, page in enumerate(pages, 1):
        yield page
        if progress is not None:
            progress(count)


_MOST_DOTS: Final = 700_000_000
"""Of A0 at 600 to the inch, with some to spare; each takes a byte."""


def png_bytes(sheet: PlottedSheet, dpi: float) -> bytes:
    """The sheet as a PNG file's content, equal for equal sheets; grey, for sheets print black."""
    import pypdfium2  # noqa: PLC0415 - loaded only where pictures are asked for
    from pypdfium2 import raw  # noqa: PLC0415

    width, height = round(sheet.width_mm / 25.4 * dpi), round(sheet.height_mm / 25.4 * dpi)
    if width * height > _MOST_DOTS:
        raise DrawingError(f"a picture of {width} by {height} dots is not drawn; choose fewer dots per inch")
    bitmap = pypdfium2.PdfBitmap.new_native(width, height, raw.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    with pypdfium2.PdfDocument(pdf_bytes([page_of(sheet)])) as pdf:
        # not `page.render`, which takes a pixel begun for a whole one
        raw.FPDF_RenderPageBitmap(bitmap, pdf[0], 0, 0, width, height, 0, raw.FPDF_GRAYSCALE)
    stream = io.BytesIO()
    bitmap.to_pil().save(stream, "PNG", dpi=(dpi, dpi), optimize=False)
    return stream.getvalue()
