"""The legend and the notes of a floor plan's sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN, Pen
from riserkit.drawings.holds import HOLD, HOLD_MEANS
from riserkit.drawings.plan.symbols import (
    RAIL_PENS,
    draw_arrow,
    draw_closet,
    draw_opening,
    draw_rails,
    draw_riser,
)
from riserkit.drawings.plan.tags import PLACE_MM, RADIUS_MM
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.setting.legend import LegendEntry, LetterSample, LineSample
from riserkit.model.site import SiteInfo

_MOST_NAMED: Final = 12
_KINDS: Final = {
    "single": "Opening, single leaf",
    "double": "Opening, two leaves",
    "gate": "Gate",
}
_CARRIERS: Final = {
    "tray": "Tray: id, cables in it",
    "conduit": "Conduit: id, cables in it",
    "sleeve": "Sleeve: id, cables in it",
    "riser": "Riser, run level: id, cables in it",
}


@dataclass(frozen=True, slots=True)
class PlanSample:
    """Something of a plan drawn in its legend: `opening`, `closet`, `riser`, `across`, `home` or `rails`, and which."""

    what: str
    kind: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Room it takes."""
        return (20.0, 2.5) if self.what == "rails" else (12.0, 5.0)

    def draw(self, canvas: Canvas, center: Point) -> None:
        """Draw it round a point of the paper."""
        x, y = center
        if self.what == "rails":
            draw_rails(canvas, [((x - 10, y), (x + 10, y))], RAIL_PENS[self.kind], 1.0)
        elif self.what == "closet":
            draw_closet(canvas, center, PLACE_MM)
        elif self.what == "riser":
            draw_riser(canvas, (x - 3.5, y), PLACE_MM, up=True, down=False)
            draw_riser(canvas, (x + 3.5, y), PLACE_MM, up=False, down=True)
        elif self.what == "across":
            draw_riser(canvas, center, PLACE_MM, up=False, down=False, across=True)
        elif self.what == "home":
            draw_arrow(canvas, (x - 3, y), (x + 3, y), 1.0)
        else:
            draw_opening(canvas, center, RADIUS_MM, self.kind, ((x - 5, y), (x + 5, y)))


def plan_legend(levels: Sequence[PlanLevel]) -> tuple[LegendEntry, ...]:
    """Entries for what these levels show, each kind once."""
    return (*_places(levels), *_ways(levels), *_background(levels))


def _places(levels: Sequence[PlanLevel]) -> Iterator[LegendEntry]:
    openings = [opening for level in levels for opening in level.openings]
    kinds = {opening.kind for opening in openings}
    for kind, words in _KINDS.items():
        if kind in kinds:
            yield LegendEntry(PlanSample("opening", kind), f"{words}, leaf closed; mark, label of its cable")
    if any(opening.held for opening in openings):
        yield LegendEntry(LetterSample(HOLD), HOLD_MEANS)
    if any(level.closets for level in levels):
        yield LegendEntry(PlanSample("closet"), "Closet: label, name, what it feeds")
    risers = [riser for level in levels for riser in level.risers]
    if any(riser.up or riser.down for riser in risers):
        yield LegendEntry(PlanSample("riser"), "Pathway up or down: id, cables in it")
    if any(riser.across for riser in risers):
        yield LegendEntry(PlanSample("across"), "Pathway across to another building: id, where to, cables in it")


def _ways(levels: Sequence[PlanLevel]) -> Iterator[LegendEntry]:
    carriers = {pathway.carrier for level in levels for pathway in level.pathways}
    for carrier, words in _CARRIERS.items():
        if carrier in carriers:
            yield LegendEntry(PlanSample("rails", carrier), words)
    strands = [strand for level in levels for strand in level.strands]
    if any(not strand.backbone for strand in strands):
        yield LegendEntry(LineSample(CABLE_PEN), "One horizontal cable")
        yield LegendEntry(LineSample(BUNDLE_PEN), "Several on one route")
    if any(strand.backbone for strand in strands):
        yield LegendEntry(LineSample(Pen(layers.BACKBONE)), "Backbone cable")
    if any(opening.home_m for level in levels for opening in level.openings):
        yield LegendEntry(PlanSample("home"), "To the closet that the cable's label names; route not designed")


def _background(levels: Sequence[PlanLevel]) -> Iterator[LegendEntry]:
    if any(level.walls is not None for level in levels):
        yield LegendEntry(LineSample(WALL_PEN), "Walls, background")
    elif any(level.rooms for level in levels):
        yield LegendEntry(LineSample(ROOM_PEN), "Outline of a room, background")


WALL_PEN: Final = Pen(layers.WALL, 0.13)
ROOM_PEN: Final = Pen(layers.FLOOR, 0.13)


def plan_notes(info: SiteInfo, missing: Sequence[str] = ()) -> tuple[str, ...]:
    """Numbered notes of a plan.

    Args:
        info: the site's.
        missing: labels that found no room on it; the schedules have them all, the first ones are named here.
    """
    unit = "feet" if info.unit_system == "imperial" else "metres"
    return (
        "General notes, cautions and abbreviations: sheet T-001. Lengths and ports: schedules, sheets T-651 on.",
        f"Coordinates at the edge are those of the site's data, in {unit}. North is plan north; true north is not known.",
        "Pathways and cables are drawn where the data puts them, in plan; heights are not shown. Verify on site.",
        "An opening's circle stands at its middle; the swing of its leaf is not shown.",
        *_missing(missing),
    )


def _missing(labels: Sequence[str]) -> Iterator[str]:
    held = [label for label in labels if label.startswith(f"{HOLD} ")]
    if held:
        yield f"On HOLD and without room for their labels: {', '.join(held)}."
    if labels:
        more = f" and {len(labels) - _MOST_NAMED} more" if len(labels) > _MOST_NAMED else ""
        yield f"No room on this plan for {', '.join(labels[:_MOST_NAMED])}{more}; see the schedules."
