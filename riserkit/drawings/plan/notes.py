"""The legend and the notes of a floor plan's sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN, Pen
from riserkit.drawings.dxf.symbols import PLAN_SYMBOLS
from riserkit.drawings.plan.background import background_words
from riserkit.drawings.plan.labels import Tag
from riserkit.drawings.plan.scale import FOOT_M
from riserkit.drawings.plan.swing import Leaf
from riserkit.drawings.plan.symbols import RAIL_PENS, draw_arrow, draw_closet, draw_opening, draw_rails, draw_riser
from riserkit.drawings.plan.tags import PLACE_MM, RADIUS_MM
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.setting.legend import LegendEntry, LetterSample, LineSample, SymbolSample
from riserkit.holds import HOLD, HOLD_MEANS
from riserkit.model.info import SiteInfo
from riserkit.quantities.grouping import grouped

KEY_NOTE: Final = "Key plan: squares are closets, dots openings; full dots and the bold edge are this sheet's."
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
    """Something of a plan drawn in its legend: `opening`, `swing`, `closet`, `riser`, `across`, `home` or `rails`, and which."""

    what: str
    kind: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Room it takes."""
        if self.what == "swing":
            return (12.0, 7.0)
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
        elif self.what == "swing":
            leaf = Leaf((x - 3, y - 3), (x - 3, y + 3), (x + 3, y - 3), 0.0)
            draw_opening(canvas, (x, y - 3), RADIUS_MM, "single", (leaf.hinge, leaf.latch), [leaf])
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
    if any(opening.swing_is_stated for opening in openings):
        yield LegendEntry(PlanSample("swing"), "Leaf open and its swing, where stated")
    drawn = {device.symbol for opening in openings for device in opening.devices}
    for symbol in PLAN_SYMBOLS:
        if symbol.name in drawn:
            yield LegendEntry(SymbolSample(symbol.name), symbol.meaning.removesuffix(", in plan"))
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
    for place in dict.fromkeys(level.background for level in levels):
        if place is not None:
            yield LegendEntry(LineSample(Pen(layers.BACKGROUND)), background_words(place))
    levels = [level for level in levels if level.background is None]
    if any(level.walls is not None for level in levels):
        yield LegendEntry(LineSample(WALL_PEN), "Walls, background")
    elif any(level.rooms for level in levels):
        yield LegendEntry(LineSample(ROOM_PEN), "Outline of a room, background")


WALL_PEN: Final = Pen(layers.WALL, 0.13)
ROOM_PEN: Final = Pen(layers.FLOOR, 0.13)


def north_words(true_north_deg: float) -> str:
    """How far true north is from up the plan."""
    off = (true_north_deg + 180) % 360 - 180
    return f"{abs(off):g}° {'right' if off > 0 else 'left'} of up" if off else "up the plan"


@dataclass(frozen=True, slots=True)
class Remarks:
    """What the notes of one sheet tell besides.

    Args:
        missing: labels that found no room on it; the schedules have them all, the first ones are named.
        bare: openings that have no room for the symbols of their devices.
        elsewhere: the sheet that has them, by mark.
        has_key: it has a key plan.
    """

    missing: Sequence[Tag] = ()
    bare: Sequence[str] = ()
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    has_key: bool = False


NOTHING_BESIDES: Final = Remarks()


def plan_notes(
    info: SiteInfo, levels: Sequence[PlanLevel], remarks: Remarks = NOTHING_BESIDES, *, legend: bool = True
) -> tuple[str, ...]:
    """Numbered notes of a plan.

    Args:
        info: the site's.
        levels: what the plan shows.
        remarks: see there.
        legend: whether a legend stands beside them.
    """
    cover = (
        "cautions and abbreviations: sheet T-001" if legend else "cautions, symbols and abbreviations: sheets T-001 on"
    )
    unit = "feet" if info.unit_system == "imperial" else "metres"
    return (
        f"General notes, {cover}. Lengths and ports: schedules, sheets T-651 on.",
        _coordinates(info, levels, unit),
        "Pathways and cables are drawn where the data puts them, in plan. Verify on site.",
        *dict.fromkeys(_usual(levels)),
        "An opening's circle stands at its middle, where its cable is drawn to.",
        *_swings(levels),
        *_devices(levels, remarks.bare, remarks.elsewhere),
        *_missing(remarks.missing),
        *((KEY_NOTE,) if remarks.has_key else ()),
    )


def _usual(levels: Sequence[PlanLevel]) -> Iterator[str]:
    """Type of cable and height of pathways, where labels do not say otherwise."""
    for level in levels:
        if level.usual_type:
            yield f"Horizontal cables: {level.usual_type}, where an opening's label says no other type."
        if level.usual_height:
            yield f"Pathways run {level.usual_height}, where their label says no other height; heights are above the floor."


def _coordinates(info: SiteInfo, levels: Sequence[PlanLevel], unit: str) -> str:
    """What the figures at the edge are, and which way north is."""
    x, y = levels[0].offset_m if levels else (0.0, 0.0)
    foot = FOOT_M if info.unit_system == "imperial" else 1.0
    far = (
        f"; the drawing itself lies {x / foot:.0f} and {y / foot:.0f} {unit} nearer to its origin in x and y"
        if x or y
        else ""
    )
    north = (
        "North is plan north; true north is not known." if info.true_north_deg is None
        else f"True north is {north_words(info.true_north_deg)}."
    )  # fmt: skip
    return f"Coordinates at the edge are those of the site's data, in {unit}{far}. {north}"


def _swings(levels: Sequence[PlanLevel]) -> Iterator[str]:
    """Which openings are drawn without the swing of their leaves because nobody stated it."""
    openings = [opening for level in levels for opening in level.openings]
    unknown = [opening for opening in openings if not opening.swing_is_stated]
    if not unknown:
        return
    if len(unknown) == len(openings):
        yield "Swing, hand and sides of the openings are not stated and not shown. Verify on site."
    else:
        yield f"Swing, hand or sides not stated, and not shown: {_named([opening.name for opening in unknown])}."


def _devices(levels: Sequence[PlanLevel], bare: Sequence[str], elsewhere: Mapping[str, str]) -> Iterator[str]:
    if any(opening.devices for level in levels for opening in level.openings):
        yield "Devices stand off the wall on the side that they are mounted on, with a line to their place; heights: door sheets."
    by_sheet = grouped((elsewhere.get(mark, ""), mark) for mark in bare)
    for sheet, marks in sorted(by_sheet.items(), reverse=True):
        yield (
            f"Devices of {_named(marks)}: see {sheet}." if sheet
            else f"No room here for the device symbols of {_named(marks)}: see the door's sheet."
        )  # fmt: skip


def _named(labels: Sequence[str]) -> str:
    more = f" and {len(labels) - _MOST_NAMED} more" if len(labels) > _MOST_NAMED else ""
    return f"{', '.join(labels[:_MOST_NAMED])}{more}"


def _missing(tags: Sequence[Tag]) -> Iterator[str]:
    held = [name for tag in tags for name in tag.held]
    if held:
        yield f"On HOLD and without room for their labels: {', '.join(held)}."
    numbers = [tag.lines[0][0] for tag in tags if tag.subject.startswith("room:")]
    labels = [" ".join(text for text, _ in tag.lines[:2]) for tag in tags if not tag.subject.startswith("room:")]
    if numbers:
        yield f"Room numbers left out for lack of space: {_named(numbers)}."
    if labels:
        yield f"No room on this plan for {_named(labels)}; see the schedules."
