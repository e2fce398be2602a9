"""Inspects sheets, as drawn or as read back from their files: is everything on them legible?"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from ezdxf.document import Drawing

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.reading import workable
from riserkit.drawings.legibility.crossings import CrossingUnbridged, bridged_crossings, plain_crossings
from riserkit.drawings.legibility.frame import BeyondFrame, frame_of
from riserkit.drawings.legibility.leaders import LeaderMisses
from riserkit.drawings.legibility.read import read_sheet, sheet_shapes
from riserkit.drawings.legibility.symbol_on_symbol import SymbolOnSymbol
from riserkit.drawings.legibility.text_height import TextTooSmall
from riserkit.drawings.legibility.text_on_line import TextOnForeignLine
from riserkit.drawings.legibility.text_over_text import TextOverText
from riserkit.drawings.legibility.values import SheetCheck, SheetInspection, SheetShapes, Violation
from riserkit.drawings.setting.sheet import ZONE_LETTERS, zone_edges

SHEET_CHECKS: Final[tuple[SheetCheck, ...]] = (
    BeyondFrame(),
    CrossingUnbridged(),
    LeaderMisses(),
    SymbolOnSymbol(),
    TextOnForeignLine(),
    TextOverText(),
    TextTooSmall(),
)
MOST_TOLD: Final = 500
"""Places of one check on one sheet: who has so many to mend looks at the sheet."""


def inspect_sheet(path: Path) -> SheetInspection:
    """Inspect one drawing on disk.

    Raises:
        DrawingError: the file cannot be read, or has no sheet.
    """
    sheet = read_sheet(path)
    with workable(path.name, "inspected"):
        return inspect_shapes(sheet)


def inspect_document(doc: Drawing) -> SheetInspection:
    """Inspect a drawing that has just been drawn or read.

    Raises:
        DrawingError: it has no sheet.
    """
    return inspect_shapes(sheet_shapes(doc))


def inspect_shapes(sheet: SheetShapes) -> SheetInspection:
    """Inspect a sheet that has been read."""
    found = sorted(_violations(sheet), key=lambda v: (v.check, -v.y_mm, v.x_mm, v.message))
    bridged = len(bridged_crossings(sheet))
    crossings = bridged + len(plain_crossings(sheet))
    return SheetInspection(
        sheet.sheet, len(sheet.letters), len(sheet.strokes), crossings, bridged, sheet.unread, tuple(found)
    )


def _violations(sheet: SheetShapes) -> Iterator[Violation]:
    for check in SHEET_CHECKS:
        for number, place in enumerate(check.places(sheet)):
            x, y = round(place.at[0], 1), round(place.at[1], 1)
            message = place.message if number < MOST_TOLD else f"There are more such places; {MOST_TOLD} are told."
            yield Violation(
                sheet.sheet, check.name, place.model_ids, x, y, zone_at(sheet.paper, (x, y)), message,
                place.measured, place.limit, check.unit,
            )  # fmt: skip
            if number == MOST_TOLD:
                break


def zone_at(paper: Rect, at: Point) -> str:
    """The field of the frame in which a point lies, or is nearest to, such as `B4`."""
    frame, (middle_x, middle_y) = frame_of(paper), paper.center
    columns, rows = zone_edges(frame.x0, frame.x1, middle_x), zone_edges(frame.y0, frame.y1, middle_y)
    column = sum(edge <= at[0] for edge in columns[1:-1]) + 1
    row = len(rows) - 2 - sum(edge <= at[1] for edge in rows[1:-1])
    return f"{ZONE_LETTERS[row]}{column}"
