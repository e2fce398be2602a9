"""A paper set into pages: on each what it is about, its revision, its page and how many there are, and whether it is on HOLD."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import LINE_PITCH, fit_text, shorten, text_width_mm
from riserkit.drawings.prints.pdf import PdfPage
from riserkit.drawings.prints.pen import WHITE, PagePen
from riserkit.field.blocks import PagePiece, PaperBlock
from riserkit.field.form import PaperForm
from riserkit.field.qr import qr_squares

_QR_MM: Final = 24.0
_SMALL_QR_MM: Final = 18.0
_FOOT_MM: Final = 9.0
_CHECK_DIGITS: Final = 8


@dataclass(frozen=True)
class Paper:
    """A paper before it is set.

    Args:
        subject: what it is about, in large letters on each page, such as `Door 107`.
        title: what it is, and of what.
        project: number and name.
        revision: in words, such as `Revision B, 2026-04-01`.
        status: what it may be used for; empty where that is nothing.
        approved_by: the name; a paper on HOLD has none.
        hold: what stands on each page when it may not be built from; empty when it may.
        blocks: what it says.
        code: what its QR code says, without the check number; no code when empty.
    """

    subject: str
    title: str
    project: str
    revision: str
    status: str
    approved_by: str
    blocks: tuple[PaperBlock, ...] = field(repr=False)
    hold: str = ""
    code: str = ""

    @property
    def check(self) -> str:
        """Tells two papers of one name apart: it changes with anything that the paper says."""
        said = (self.subject, self.title, self.project, self.revision, self.status, self.approved_by, self.hold)
        words = "\x1f".join((*said, *(word for block in self.blocks for word in block.words())))
        return hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest()[:_CHECK_DIGITS]

    @property
    def coded(self) -> str:
        """What the QR code says."""
        return f"{self.code}; check {self.check}" if self.code else ""


def pages_of(paper: Paper, form: PaperForm) -> tuple[PdfPage, ...]:
    """The paper on pages of a form."""
    placed = list(_filled(paper, form))
    check = paper.check
    pages = []
    for number, pieces in enumerate(placed, 1):
        pen = PagePen(f"{paper.subject}, page {number}", form.width_mm, form.height_mm)
        _head(pen, paper, form, number, len(placed))
        _foot(pen, paper, form, (number, len(placed)), check)
        y = form.height_mm - form.margin_mm - _head_mm(paper, form, number)
        for piece in pieces:
            piece.draw(pen, form.margin_mm, y)
            y -= piece.height_mm
        pages.append(pen.page())
    return tuple(pages)


def _filled(paper: Paper, form: PaperForm) -> Iterator[list[PagePiece]]:
    """The pieces of each page. What keeps with the next goes along to the next page."""
    pieces = [piece for block in paper.blocks for piece in block.pieces(form)]
    page: list[PagePiece] = []
    number, used = 1, 0.0
    for n, piece in enumerate(pieces):
        room = form.height_mm - 2 * form.margin_mm - _FOOT_MM - _head_mm(paper, form, number)
        if page and used + _with_next(pieces, n) > room:
            yield page
            number += 1
            above = [piece.repeated] if piece.repeated is not None else []
            page, used = [*above], sum(p.height_mm for p in above)
        page.append(piece)
        used += piece.height_mm
    yield page


def _with_next(pieces: Sequence[PagePiece], n: int) -> float:
    """Height of a piece with what it may not be parted from."""
    height = pieces[n].height_mm
    while pieces[n].keeps_next and n + 1 < len(pieces):
        n += 1
        height += pieces[n].height_mm
    return height


def _head_mm(paper: Paper, form: PaperForm, number: int) -> float:
    held = (13.0 if form.is_narrow else 15.0) if paper.hold else 0.0
    if form.is_narrow:
        return held + (37.0 if number == 1 and paper.code else 18.0)
    return held + (30.0 if number == 1 else 21.0)


def _head(pen: PagePen, paper: Paper, form: PaperForm, number: int, count: int) -> None:
    left, top, right = form.margin_mm, form.height_mm - form.margin_mm, form.width_mm - form.margin_mm
    first, large = number == 1, 4.0 if form.is_narrow else 6.0
    with_code = bool(paper.code) and (first or not form.is_narrow)
    side = _QR_MM if first else _SMALL_QR_MM
    room = form.room_mm - (side + 2.0 if with_code and not form.is_narrow else 0.0)
    subject = fit_text(paper.subject, room * (0.72 if form.is_narrow else 1.0), large, form.text_mm, 1)
    pen.text(subject.lines[0], (left, top - large), subject.height_mm)
    page = f"page {number} of {count}"
    stands = ". ".join(filter(None, (paper.revision, paper.status)))
    lines = [paper.title, stands, paper.project]
    if form.is_narrow:
        pen.text(page, (right, top - large), form.text_mm, "right")
        lines = [paper.title, paper.revision] if not first else lines
    else:
        lines = [f"{paper.title}, {page}", *lines[1:]] if first else [f"{stands}, {page}"]
    y = top - large - 1.6
    width = room - (side + 2.0 if form.is_narrow and with_code else 0.0)
    for line in lines:
        fitted = fit_text(line, width, form.text_mm, 1.8, 2 if form.is_narrow else 1)
        for part in fitted.lines:
            y -= 1.6 * fitted.height_mm
            pen.text(part, (left, y), fitted.height_mm)
    if with_code:
        low = top - side + 2.0 if not form.is_narrow else top - 8.0 - side
        pen.fill(qr_squares(paper.coded, right - side, low, side))
    below = top - _head_mm(paper, form, number)
    if paper.hold:
        high = 10.0 if form.is_narrow else 12.0
        pen.fill([Rect(left, below + 2.5, right, below + 2.5 + high)])
        room = form.room_mm - 4.0
        words = fit_text(paper.hold, room, 5.0, 3.5)
        words = words if words.complete else fit_text(paper.hold, room, 3.5, 2.2, 2)
        top = below + 2.5 + (high + words.block_height_mm) / 2
        for n, line in enumerate(words.lines):
            y = top - words.height_mm - n * LINE_PITCH * words.height_mm
            pen.text(line, (form.width_mm / 2, y), words.height_mm, "center", WHITE)
    else:
        pen.line((left, below + 2.0), (right, below + 2.0), 0.35)


def _foot(pen: PagePen, paper: Paper, form: PaperForm, page: tuple[int, int], check: str) -> None:
    left, right, y = form.margin_mm, form.width_mm - form.margin_mm, form.margin_mm
    pen.line((left, y + 5.0), (right, y + 5.0))
    small = 1.8
    end = f"check {check}, page {page[0]} of {page[1]}"
    pen.text(end, (right, y + 1.8), small, "right")
    room = form.room_mm - text_width_mm(end, small) - 3.0
    approved = f"Approved by: {paper.approved_by}" if paper.approved_by else "Not approved"
    told = f"{paper.subject}. {approved}" if form.is_narrow else f"{paper.subject}. {approved}. {_CAUTION}"
    pen.text(shorten(told, room, small), (left, y + 1.8), small)


_CAUTION: Final = "Life-safety functions are verified on site; the local code and the AHJ govern."
