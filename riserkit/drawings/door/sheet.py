"""A door's sheet composed: which size, which form of each block, and where everything stands."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.door.blocks import HEADING_MM, BlockRoom, DoorBlock, Form, Recut
from riserkit.drawings.door.pack import Packer, fit
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.sheet_size import series_sizes, sheet_size
from riserkit.drawings.dxf.text import block_height_mm, text_width_mm, wrap
from riserkit.drawings.elevation.draw import elevation_of
from riserkit.drawings.elevation.values import Elevation, ElevationDevice, OpeningShape
from riserkit.drawings.setting.frames import sheet_sizes_of
from riserkit.drawings.setting.scale import scales_of
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.wiring.layout import Layouts, SizedDiagram
from riserkit.drawings.wiring.values import Style, WiringDiagram
from riserkit.holds import Banner
from riserkit.model.info import SiteInfo
from riserkit.quantities.printed import UnitSystem
from riserkit.standards.sheets import PaperSize

GAP_MM: Final = 4.0
# The centring marks reach 5 mm into the frame.
EDGE_MM: Final = 6.0
BANNER_MM: Final = 29.0
"""Height of a banner of three lines of words in the letters of headings; more lines are smaller, and make it higher."""
BANNER_WORDS_MM: Final = 2.5
BANNER_LINES: Final = 3
TITLE_MM: Final = 8.0
_FIRST: Final = {"ISO": "ISO A3", "ANSI": "ANSI B", "ARCH": "ARCH B"}
# Of the height of the sheet, what a diagram may take before the search for one pays for more.
_DIAGRAM_SHARE: Final = 0.68
_ELEVATION_SHARE: Final = (0.45, 0.55)
_WIDE_SHEET_MM: Final = 500.0
# Blocks that would fill more than this of what is left are not tried: gaps alone take the rest.
_DENSEST: Final = 0.92
# A door drawn smaller than this tells nothing; only wide gates may be, and what has a device high above it.
_SMALL_SCALE: Final = 50
_WIDE_OPENING_M: Final = 2.4
_HIGH_OPENING_M: Final = 4.0
STYLES: Final = (
    Style(),
    Style(share_lanes=True),
    Style(with_gauge=False),
    Style(with_gauge=False, share_lanes=True),
)
PlacedForm = tuple[DoorBlock, Form, Point]
"""A block, how it is drawn, and its upper left corner."""


@dataclass(frozen=True)
class Contents:
    """What goes on the sheet, before any of it has a place. Without a shape there is no elevation."""

    netlist: Netlist | None
    shape: OpeningShape | None
    devices: tuple[ElevationDevice, ...]
    unit_system: UnitSystem
    banner: Banner | None
    blocks: tuple[DoorBlock, ...]
    wiring_title: str = "Wiring"


@dataclass(frozen=True)
class Composed:
    """A sheet with the place of everything. Blocks stand in `places` with the form chosen and the upper left corner.

    A sheet with a `banner` is approved by nobody.
    """

    frame: SheetFrame
    diagram: WiringDiagram | None
    diagram_at: Rect | None
    banner_at: Rect | None
    elevation: Elevation | None
    elevation_at: Rect | None
    places: tuple[PlacedForm, ...]
    wiring_title: str = "Wiring"
    banner: Banner | None = None


def sheet_sizes(info: SiteInfo) -> tuple[PaperSize, ...]:
    """The sizes that a door's sheet may have, the one asked for (or usual in its series) first.

    Raises:
        SheetError: the size asked for is not known.
    """
    if info.sheet_size.strip():
        return sheet_sizes_of(info)
    asked = info.detail_sheet.strip()
    if asked and " " not in asked:
        asked = f"{info.sheet_series} {asked}"
    first = sheet_size(asked or _FIRST[info.sheet_series])
    larger = [s for s in series_sizes(first.series) if s.width_mm > first.width_mm]
    return (first, *larger)


def block_room(frame: SheetFrame, banner: Banner | None) -> BlockRoom:
    """What a sheet has free for one block, below its banner where it has one."""
    inner, corner = _inner(frame), frame.corner
    high_mm = inner.height - (banner_height_mm(banner, inner.width) + GAP_MM if banner else 0.0)
    # blocks are packed in whole millimetres
    return BlockRoom(
        math.floor(corner.x0 - GAP_MM - inner.x0),
        math.floor(high_mm),
        math.floor(high_mm - (corner.y1 + GAP_MM - inner.y0)),
    )


def compose(frames: Sequence[SheetFrame], contents: Contents) -> Composed:
    """Everything on the first sheet that holds it.

    Raises:
        SheetError: not even the largest sheet does.
    """
    # one target for all sizes, so that a larger sheet need not search again
    target_mm = round(_DIAGRAM_SHARE * _inner(frames[0]).height, 1)
    netlist = contents.netlist
    layouts = Layouts(netlist, target_mm) if netlist is not None and netlist.components else None
    for frame in frames:
        for diagram in _diagrams(frame, layouts):
            found = _packed(frame, contents, diagram)
            if found is not None:
                return found
    raise SheetError(
        f"the largest sheet, {frames[-1].size.name}, cannot hold this door's detail; split its wiring over two openings"
    )


def topped_up(composed: Composed, blocks: Sequence[DoorBlock]) -> tuple[Composed, tuple[DoorBlock, ...]]:
    """A sheet with as many more blocks, in their order, as the room left on it takes; and those that it took."""
    inner = _inner(composed.frame)
    packer = Packer((inner,), GAP_MM).without(composed.frame.corner)
    for at in filter(None, (composed.banner_at, composed.diagram_at, composed.elevation_at)):
        packer = packer.without(at)
    for _, form, (x, top) in composed.places:
        packer = packer.without(Rect(x, top - form.height_mm, x + form.width_mm, top))
    taken: list[DoorBlock] = []
    for block in blocks:
        # the parts of a table stay together
        placed = _places(packer, (block,)) if block.recut is None else None
        for _, form, (x, top) in placed or ():
            packer = packer.without(Rect(x, top - form.height_mm, x + form.width_mm, top))
            taken.append(block)
        composed = replace(composed, places=(*composed.places, *(placed or ())))
    return composed, tuple(taken)


def _inner(frame: SheetFrame) -> Rect:
    return frame.frame.inset(EDGE_MM)


def _diagrams(frame: SheetFrame, layouts: Layouts | None) -> Iterator[SizedDiagram | None]:
    """Diagrams to try on a sheet, the most telling first; none wider or higher than the sheet."""
    if layouts is None:
        yield None
        return
    room = _inner(frame)
    counts = layouts.ranked_columns(STYLES[0], 3 if room.width < _WIDE_SHEET_MM else 4)
    seen: set[tuple[float, float]] = set()
    for style in STYLES:
        for columns in counts:
            diagram = layouts.sized(style, columns)
            size = (diagram.width_mm, diagram.height_mm)
            if size not in seen and size[0] <= room.width and size[1] <= room.height - TITLE_MM:
                seen.add(size)
                yield diagram


def _packed(frame: SheetFrame, contents: Contents, diagram: SizedDiagram | None) -> Composed | None:
    inner = _inner(frame)
    packer = Packer((inner,), GAP_MM).without(frame.corner)
    banner_at = diagram_at = None
    if contents.banner:
        banner_at = packer.place(inner.width, banner_height_mm(contents.banner, inner.width))
        if banner_at is None:
            return None
        packer = packer.without(banner_at)
        inner = inner._replace(y1=banner_at.y0 - GAP_MM)
    if diagram is not None:
        width, height = diagram.width_mm, diagram.height_mm + TITLE_MM
        diagram_at = Rect(inner.x1 - width, inner.y1 - height, inner.x1, inner.y1)
        if not any(r.holds(diagram_at) for r in packer.free):
            return None
        packer = packer.without(diagram_at)
    for elevation, elevation_at in _elevations(packer, inner, contents):
        taken = [frame.corner, *filter(None, (elevation_at, diagram_at, banner_at))]
        free = _inner(frame).width * _inner(frame).height - sum(r.width * r.height for r in taken)
        if _least_area(contents.blocks) > _DENSEST * free:
            continue
        places = _places(packer.without(elevation_at) if elevation_at else packer, contents.blocks)
        if places is not None:
            title = contents.wiring_title
            drawn = diagram.drawn() if diagram else None
            return Composed(
                frame, drawn, diagram_at, banner_at, elevation, elevation_at, places, title, contents.banner
            )
    return None


def _places(packer: Packer, blocks: Sequence[DoorBlock]) -> tuple[PlacedForm, ...] | None:
    spots = fit(packer, [tuple((f.width_mm, f.height_mm) for f in b.forms) for b in blocks])
    if spots is None:
        return None
    placed = [(b, b.forms[spot.form], (spot.x, spot.y)) for b, spot in zip(blocks, spots, strict=True)]
    for recut in dict.fromkeys(b.recut for b in blocks if b.recut is not None):
        _in_reading_order(packer, placed, recut)
    return tuple(placed)


def _in_reading_order(packer: Packer, placed: list[PlacedForm], recut: Recut) -> None:
    """The parts of a table where they go on as one reads: from the search the last may stand left of the first."""
    mine = [n for n, (block, _, _) in enumerate(placed) if block.recut is recut]
    ordered = _as_read([placed[n] for n in mine])
    if ordered == [placed[n] for n in mine]:
        return
    *heights_mm, last_mm = (form.height_mm for _, form, _ in ordered)
    forms = recut([*heights_mm, last_mm]) or recut([*heights_mm, _room_mm(packer, placed, ordered[-1])])
    # rows that come together otherwise may ask for wider columns
    if forms is not None and all(
        new.width_mm <= old.width_mm + 1e-6 for new, (_, old, _) in zip(forms, ordered, strict=True)
    ):
        for n, form, (_, _, at) in zip(mine, forms, ordered, strict=True):
            placed[n] = (placed[n][0], form, at)


def _room_mm(packer: Packer, placed: Sequence[PlacedForm], part: PlacedForm) -> float:
    """How far down a block may reach from its place: to its own foot at least, and over what is free below it."""
    _, form, (x, top) = part
    for other in placed:
        if other is not part:
            _, taken, (left, up) = other
            packer = packer.without(Rect(left, up - taken.height_mm, left + taken.width_mm, up))
    below = [
        top - r.y0 for r in packer.free if r.x0 <= x + 1e-6 and r.x1 >= x + form.width_mm - 1e-6 and r.y1 >= top - 1e-6
    ]
    return max([form.height_mm, *below])


def _as_read(parts: Sequence[PlacedForm]) -> list[PlacedForm]:
    """Column by column from the left, in each from the top; what overlaps by half of its width is one column."""
    columns: list[list[PlacedForm]] = []
    for part in sorted(parts, key=lambda part: part[2][0]):
        if columns and part[2][0] < columns[-1][0][2][0] + part[1].width_mm / 2:
            columns[-1].append(part)
        else:
            columns.append([part])
    return [part for column in columns for part in sorted(column, key=lambda part: -part[2][1])]


def _least_area(blocks: Sequence[DoorBlock]) -> float:
    return sum(min(f.width_mm * f.height_mm for f in b.forms) for b in blocks)


def banner_height_mm(banner: Banner, width_mm: float) -> float:
    """Height of a banner, which says all its words."""
    lines = len(wrap(banner.words, banner_room_mm(width_mm), BANNER_WORDS_MM))
    words_mm = block_height_mm(lines, BANNER_WORDS_MM) - block_height_mm(BANNER_LINES, HEADING_MM)
    return BANNER_MM + max(0.0, words_mm)


def banner_room_mm(width_mm: float) -> float:
    """Room for its words in a line, with some left over for programs without the font."""
    return (width_mm - 2 * GAP_MM) * 0.92


def _elevations(
    packer: Packer, inner: Rect, contents: Contents
) -> Iterator[tuple[Elevation, Rect] | tuple[None, None]]:
    """At each scale that leaves the rest its room, the largest first, in the highest place that is free."""
    if contents.shape is None:
        yield None, None
        return
    room = (inner.width * _ELEVATION_SHARE[0], inner.height * _ELEVATION_SHARE[1])
    top_m = max([contents.shape.height_m, *(device.y_m for device in contents.devices)])
    is_usual = contents.shape.width_m < _WIDE_OPENING_M and top_m < _HIGH_OPENING_M
    for scale in scales_of(contents.unit_system):
        if scale.ratio > _SMALL_SCALE and is_usual:
            continue
        made = elevation_of(contents.shape, contents.devices, scale, contents.unit_system)
        title_mm = text_width_mm(elevation_title(made), HEADING_MM)
        size = max(made.extent.width, title_mm), made.extent.height + TITLE_MM
        place = packer.place(*size) if size[0] <= room[0] and size[1] <= room[1] else None
        if place is not None:
            yield made, place


def elevation_title(elevation: Elevation) -> str:
    """What stands above the elevation."""
    return f"Elevation from the unsecured side, {elevation.scale.text}"
