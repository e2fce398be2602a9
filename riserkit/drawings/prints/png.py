"""Pictures: a sheet as PNG, rasterised from what it prints."""

from __future__ import annotations

import io
from typing import Final

from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.prints.pdf import page_of, pdf_bytes
from riserkit.drawings.prints.strokes import PlottedSheet

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
