"""The check that everything plotted lies inside the frame."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.legibility.text_over_text import quoted
from riserkit.drawings.legibility.values import Lettering, Place, SheetShapes, Stroke
from riserkit.standards.sheets import MARGIN_LEFT_MM, MARGIN_OTHER_MM, MARGINS

SLACK_MM: Final = 0.01


class BeyondFrame:
    """Nothing lies beyond the frame, and nothing is cut off by the edge of a view.

    Why:
        What lies beyond the frame is cut off by a printer's margins or by the binding, and nobody knows that it was
        there. What a view does not show is not on the sheet at all.
    Measures:
        How far every text and line reaches out of the frame as plotted, and how far generated things of the model
        reach out of every view. Frame, zones and title block themselves may reach to the sheet's edge.
    Limit:
        Nothing: the frame lies 20 mm inside the sheet on the binding edge and 10 mm on the other sides.
    Remedy:
        Move it inside, or take a larger sheet or another.
    Source:
        ISO 5457:1999 margins and frame (from memory).
    """

    name: ClassVar[str] = "beyond-frame"
    source: ClassVar[str] = MARGINS.cite()
    unit: ClassVar[str] = "mm"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Everything that reaches out, once for each entity."""
        frame = frame_of(sheet.paper)
        seen: set[str] = set()
        for thing, points in _things(sheet):
            room = sheet.paper if _may_leave(thing) else frame
            x0, y0, x1, y1 = room
            if all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in points):
                continue
            box = around(points)
            beyond = max(room.x0 - box.x0, room.y0 - box.y0, box.x1 - room.x1, box.y1 - room.y1)
            if beyond > SLACK_MM and thing.owner not in seen:
                seen.add(thing.owner)
                yield Place((thing.model_id,), box.center, f"{_name(thing)} reaches {beyond:.1f} mm out.", beyond, 0.0)
        for cut in sheet.cut_off:
            message = f"Something of {cut.model_id} reaches {cut.beyond_mm:.1f} mm out of the view that shows it best."
            yield Place((cut.model_id,), cut.at, message, cut.beyond_mm, 0.0)


def frame_of(paper: Rect) -> Rect:
    """The frame of a sheet."""
    return Rect(MARGIN_LEFT_MM, MARGIN_OTHER_MM, paper.x1 - MARGIN_OTHER_MM, paper.y1 - MARGIN_OTHER_MM)


def _things(sheet: SheetShapes) -> Iterator[tuple[Lettering | Stroke, tuple[Point, ...]]]:
    yield from ((letter, letter.corners) for letter in sheet.letters)
    yield from ((stroke, stroke.points) for stroke in sheet.strokes)


def _may_leave(thing: Lettering | Stroke) -> bool:
    return thing.on_paper and thing.layer == layers.TITLE_BLOCK


def _name(thing: Lettering | Stroke) -> str:
    if isinstance(thing, Lettering):
        return quoted(thing.text)
    return f"A line of {thing.model_id}" if thing.model_id else f"A line drawn by hand on layer {thing.layer}"
