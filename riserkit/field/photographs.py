"""Photographs that came back, on paper: each under the door that it shows, with who took it and when.

They are shown upright, small enough for a page, and without what a telephone writes into them of itself and of the place. The files
themselves stay as they came, beside the returns.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from PIL import Image, ImageOps, UnidentifiedImageError

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import block_height_mm, wrap
from riserkit.drawings.prints.pen import PagePen
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PagePiece, PaperBlock, PaperHeading, Paragraph, put_lines
from riserkit.field.form import PaperForm
from riserkit.field.paper import Paper
from riserkit.model.as_built import KeptPhoto
from riserkit.model.returned import ReturnedPhoto
from riserkit.quantities.counting import counting_order

_MOST_PIXELS: Final = 100_000_000
_SIDE_PX: Final = 1600
_QUALITY: Final = 80
_MOST_MM: Final = 95.0
"""Height of one on the page: two stand on it."""


@dataclass(frozen=True)
class PhotoBlock:
    """One photograph below its words: a JPEG file, its size in pixels, and its digest. Words and picture stay together."""

    text: str
    data: bytes
    size_px: tuple[int, int]
    digest: str

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """As wide as the page, or as high as half of it."""
        wide_px, high_px = self.size_px
        scale = min(form.room_mm / wide_px, _MOST_MM / high_px)
        width, height = wide_px * scale, high_px * scale
        lines = wrap(self.text, form.room_mm, form.text_mm)
        above = block_height_mm(len(lines), form.text_mm) + 3.0

        def draw(pen: PagePen, x: float, y: float) -> None:
            put_lines(pen, lines, x, y - 1.5, form.text_mm)
            pen.photo(self.data, Rect(x, y - above - height, x + width, y - above))

        yield PagePiece(above + height + 3.0, draw)

    def words(self) -> Iterator[str]:
        """Its words and its digest: another photograph is another paper."""
        yield self.text
        yield self.digest


def photographs_paper(work: FieldWork, folder: Path) -> Paper | None:
    """Every photograph that a row names, by opening; nothing where no row names one.

    Args:
        work: the site, worked out as it was built.
        folder: where they are kept.
    """
    built = work.design.site.as_built
    if built is None or not built.photos:
        return None
    there = {photo.name: photo for photo in built.kept_photos}
    rows = sorted(built.photos, key=lambda row: (counting_order(row.opening), counting_order(row.photo)))
    blocks: list[PaperBlock] = []
    for mark in dict.fromkeys(row.opening for row in rows):
        blocks.append(PaperHeading(f"Door {mark}"))
        blocks += [block for row in rows if row.opening == mark for block in _shown(row, there.get(row.photo), folder)]
    paper = work.paper("Photographs", "As they came back from site", blocks)
    # they show what was seen on a day, and nobody approves that
    return replace(paper, status="As built", approved_by="")


def _shown(row: ReturnedPhoto, kept: KeptPhoto | None, folder: Path) -> Iterator[PaperBlock]:
    said = f"{row.photo}{f': {row.shows}' if row.shows else ''} ({row.by}, {row.date.isoformat()})"
    data = _upright(folder / row.photo, kept) if kept is not None else None
    if kept is None:
        yield Paragraph(f"{said}. Not found.")
    elif data is None:
        yield Paragraph(f"{said}. Kept, in a format that is not shown here.")
    else:
        yield PhotoBlock(f"{said}.", *data, kept.digest)


def _upright(path: Path, kept: KeptPhoto) -> tuple[bytes, tuple[int, int]] | None:
    """A photograph as a small JPEG file and its size; None where it cannot be shown."""
    if not 0 < kept.width_px * kept.height_px <= _MOST_PIXELS:
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(path) as opened:
                opened.draft("RGB", (_SIDE_PX, _SIDE_PX))
                picture = ImageOps.exif_transpose(opened).convert("RGB")
        picture.thumbnail((_SIDE_PX, _SIDE_PX))
        stream = io.BytesIO()
        picture.save(stream, "JPEG", quality=_QUALITY)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    return stream.getvalue(), picture.size
