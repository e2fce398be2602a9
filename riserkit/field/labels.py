"""Labels for both ends of every cable: a list, and sheets of labels that wrap round the jacket.

A label is as high as it is because half of it wraps over the other: the printed half shows from every side, the blank half,
clear on bought sheets, covers it. Sizes are ours; a printer of labels takes the list.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import fit_text
from riserkit.drawings.prints.pdf import PdfPage
from riserkit.drawings.prints.pen import PagePen
from riserkit.field.about import FieldWork
from riserkit.field.form import PaperForm
from riserkit.field.qr import qr_squares
from riserkit.quantities.counting import counting_order
from riserkit.reports.table import ReportTable
from riserkit.wiring.cables import CableKind, DesignCable

WIDTH_MM: Final = 45.0
HEIGHT_MM: Final = 25.0
PRINTED_MM: Final = 13.0
"""Of its height, at the top; the rest wraps over it."""
_MARGIN_MM: Final = 12.0
_FOOT_MM: Final = 6.0
_GAP_MM: Final = 1.0


@dataclass(frozen=True, slots=True)
class WrapLabel:
    """One label.

    Args:
        text: what the cable is called, in large letters.
        near: at which end it is fixed.
        far: where the other end is.
        code: what its QR code says.
        opening: the opening that the cable serves; empty for a backbone cable.
        cable_type: id of the type.
        note: HOLD, where its opening is.
    """

    text: str
    near: str
    far: str
    code: str
    opening: str
    cable_type: str
    note: str


def wrap_labels(work: FieldWork) -> tuple[WrapLabel, ...]:
    """Two labels a cable, in counting order: horizontal, backbone and lock power, then cables at doors."""
    order = list(CableKind)
    cables = sorted(work.design.cables, key=lambda c: (order.index(c.kind), counting_order(c.called)))
    return tuple(label for cable in cables for label in _both_ends(work, cable))


def _both_ends(work: FieldWork, cable: DesignCable) -> Iterator[WrapLabel]:
    text = cable.called
    near, far = _ends(work, cable)
    note = "HOLD" if cable.mark in work.holds else ""
    # one code for both ends: making it costs more than all the rest of a label
    code = f"{text}; {near} to {far}; {work.short_project}"
    for one, other in ((near, far), (far, near)):
        yield WrapLabel(text, one, other, code, cable.mark, cable.cable_type, note)


def _ends(work: FieldWork, cable: DesignCable) -> tuple[str, str]:
    labels = work.design.labels
    if cable.kind is CableKind.DOOR:
        netlist = work.design.door[cable.mark].wiring.netlist
        ref = cable.subject.removeprefix(f"{cable.mark}-")
        places = netlist.places(ref) if netlist is not None else ()
        return (places[0], places[-1]) if len(places) > 1 else (cable.serves, cable.serves)
    if cable.kind is CableKind.BACKBONE:
        return labels.closet_of(cable.from_id), labels.closet_of(cable.to_id)
    if cable.kind is CableKind.LOCK_POWER:
        return cable.from_id, f"door {cable.mark}"
    port = labels.port_of(work.design.door[cable.mark].placement)
    return port or labels.closet_of(cable.from_id), f"door {cable.mark}"


def labels_table(labels: tuple[WrapLabel, ...]) -> ReportTable:
    """A row a label, for a label printer: its text, its two lines, and what its QR code says."""
    columns = ("label", "at", "to", "qr", "opening", "cable_type", "note")
    rows = tuple((one.text, one.near, one.far, one.code, one.opening, one.cable_type, one.note) for one in labels)
    return ReportTable("labels", columns, rows)


def label_pages(labels: tuple[WrapLabel, ...], form: PaperForm, told: str) -> tuple[PdfPage, ...]:
    """Sheets of labels, row by row, printed at full size.

    Args:
        labels: in the order in which they are printed.
        form: of the sheet.
        told: at the foot of each sheet: of what, and of which revision.
    """
    columns = int((form.width_mm - 2 * _MARGIN_MM) // WIDTH_MM)
    rows = int((form.height_mm - 2 * _MARGIN_MM - _FOOT_MM) // HEIGHT_MM)
    on_sheet = columns * rows
    count = max(1, -(-len(labels) // on_sheet))
    pages = []
    for number in range(count):
        pen = PagePen(f"labels, page {number + 1}", form.width_mm, form.height_mm)
        for k, label in enumerate(labels[number * on_sheet : (number + 1) * on_sheet]):
            x = _MARGIN_MM + (k % columns) * WIDTH_MM
            y = form.height_mm - _MARGIN_MM - (k // columns + 1) * HEIGHT_MM
            _draw(pen, label, Rect(x, y, x + WIDTH_MM, y + HEIGHT_MM))
        pen.text(f"{told}; print at 100 %; page {number + 1} of {count}", (_MARGIN_MM, _MARGIN_MM - 5.0), 1.8)
        pages.append(pen.page())
    return tuple(pages)


def _draw(pen: PagePen, label: WrapLabel, at: Rect) -> None:
    pen.rect(at, 0.1)
    side = PRINTED_MM - 0.5
    pen.fill(qr_squares(label.code, at.x0 + 0.3, at.y1 - side - 0.2, side))
    left = at.x0 + side + _GAP_MM
    room = at.x1 - left - _GAP_MM
    y = at.y1 - 1.0
    for text, height, least, lines in ((label.text, 3.5, 1.8, 2), (f"{label.near} > {label.far}", 1.8, 1.3, 2)):
        fitted = fit_text(text, room, height, least, lines)
        for line in fitted.lines:
            y -= 1.35 * fitted.height_mm
            pen.text(line, (left, y), fitted.height_mm)
    if label.note:
        pen.text(label.note, (at.x1 - _GAP_MM, at.y0 + HEIGHT_MM - PRINTED_MM + 0.4), 2.0, "right")
    pen.line((at.x0, at.y1 - PRINTED_MM), (at.x0 + 2.0, at.y1 - PRINTED_MM), 0.1)
    pen.line((at.x1 - 2.0, at.y1 - PRINTED_MM), (at.x1, at.y1 - PRINTED_MM), 0.1)
