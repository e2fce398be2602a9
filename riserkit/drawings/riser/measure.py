"""Sizes on a riser, in millimetres of paper: what each thing needs, before anything has its place."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.text import text_width_mm, wrap
from riserkit.drawings.riser.values import Backbone, ClosetBox, DeviceBox, Drop, OpeningGroup

TEXT_MM: Final = 2.5
PITCH_MM: Final = 4.0
SLACK: Final = 1.1
"""Boxes are so much wider than the text measured, for programs that lack the font."""
GUTTER_MM: Final = 36.0
"""Left of a sheet's content: names and elevations of the levels."""

SPINE_ABOVE_MM: Final = 7.0
DROP_MM: Final = 5.0
SYMBOL_MM: Final = 12.0
MARK_MM: Final = 5.5
DROP_GAP_MM: Final = 3.0
DROP_LEAST_MM: Final = 17.0
DROP_TEXT_MAX_MM: Final = 34.0
BUNDLE_MM: Final = 26.0
FLAG_MM: Final = 6.5

LANE_MM: Final = 4.0
TRACK_MM: Final = 4.0
DEVICE_MM: Final = 40.0
CLOSET_NAME_MM: Final = 36.0
SWITCH_NAME_MM: Final = 26.0
BOX_PAD_MM: Final = 2.0
BOX_COLUMN_MM: Final = DEVICE_MM + FLAG_MM + 2 * BOX_PAD_MM
BOX_HEADER_MM: Final = 14.0
BOX_MOST_MM: Final = 110.0
STUB_MM: Final = 3.5
STUB_TEXT_MM: Final = 10.0
ROW_GAP_MM: Final = 2.0
BAND_PAD_MM: Final = 4.0
BAND_LEAST_MM: Final = 14.0


def drop_lines(item: Drop | OpeningGroup) -> tuple[str, ...]:
    """Lines below the symbol as drawn: the longest are wrapped."""
    return _wrapped(item.lines)


# a layout is tried in many widths, and each asks anew for what its thousand openings take
@lru_cache(maxsize=16384)
def _wrapped(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(piece for line in lines for piece in wrap(line, DROP_TEXT_MAX_MM, TEXT_MM))


def drop_width_mm(item: Drop | OpeningGroup) -> float:
    """Room that one opening or bundle takes along its spine."""
    if isinstance(item, Drop):
        return _width_mm(SYMBOLS[item.symbol].body.width, item.name, item.lines, bool(item.flags))
    return _width_mm(BUNDLE_MM, "", item.lines, bool(item.flags))


@lru_cache(maxsize=16384)
def _width_mm(body_mm: float, name: str, lines: tuple[str, ...], is_flagged: bool) -> float:
    marked = body_mm + (2 * (FLAG_MM + 1.0) if is_flagged else 0.0)
    widest = max(text_width_mm(text, TEXT_MM) for text in (*_wrapped(lines), name)) * SLACK
    return max(DROP_LEAST_MM, marked + DROP_GAP_MM, widest + DROP_GAP_MM)


def row_height_mm(items: Iterable[Drop | OpeningGroup]) -> float:
    """Height of a row: room above its spine, drop, symbol, mark, lines of text."""
    lines = max((len(drop_lines(item)) for item in items), default=0)
    return SPINE_ABOVE_MM + DROP_MM + SYMBOL_MM + MARK_MM + lines * PITCH_MM + ROW_GAP_MM


def device_lines(device: DeviceBox) -> tuple[str, ...]:
    """Lines below a device; what its block has no room for is said here in full."""
    room = {"switch": SWITCH_NAME_MM, "supply": 21.0}.get(device.symbol, SWITCH_NAME_MM)
    tight = {"REF": 14.0} if device.symbol == "supply" else {}
    long = [v for tag, v in device.values.items() if text_width_mm(v, TEXT_MM) > tight.get(tag, room)]
    return tuple(piece for line in (*device.lines, *long) for piece in wrap(line, DEVICE_MM, TEXT_MM))


def device_height_mm(device: DeviceBox) -> float:
    """A device with its lines and the gap above it."""
    return 2.0 + SYMBOLS[device.symbol].body.height + len(device_lines(device)) * PITCH_MM + 0.8


def box_columns(box: ClosetBox) -> tuple[tuple[DeviceBox, ...], ...]:
    """The devices of a closet in as many columns as keep the box from growing too high."""
    columns: list[list[DeviceBox]] = [[]]
    height = 0.0
    for device in box.devices:
        need = device_height_mm(device)
        if columns[-1] and height + need > BOX_MOST_MM - BOX_HEADER_MM:
            columns.append([])
            height = 0.0
        columns[-1].append(device)
        height += need
    return tuple(tuple(column) for column in columns)


def box_width_mm(box: ClosetBox) -> float:
    """Outer width of a closet."""
    return BOX_COLUMN_MM * len(box_columns(box))


def box_title_lines(box: ClosetBox) -> tuple[str, ...]:
    """The closet's name in full, below its header, where the header has no room for it."""
    long = [box.label] if text_width_mm(box.label, 3.5) > CLOSET_NAME_MM else []
    long += [text for text in (box.title,) if text_width_mm(text, TEXT_MM) > CLOSET_NAME_MM]
    long += [box.full_name] if box.full_name else []
    return tuple(piece for text in long for piece in wrap(text, DEVICE_MM, TEXT_MM))


def box_height_mm(box: ClosetBox, stubs_in: int, stubs_out: int) -> float:
    """Outer height of a closet, high enough for the cables that land on its left side."""
    inside = max(sum(map(device_height_mm, column)) for column in box_columns(box))
    inside += len(box_title_lines(box)) * PITCH_MM
    stubs = BOX_HEADER_MM / 2 + max(stubs_in, 1) * STUB_TEXT_MM + stubs_out * STUB_MM
    return max(BOX_HEADER_MM + inside + 2 * BOX_PAD_MM, stubs)


def backbone_text_mm(cable: Backbone) -> float:
    """Room for a backbone cable's two lines of text."""
    widest = max(text_width_mm(text, TEXT_MM) for text in backbone_lines(cable))
    return widest * SLACK + 3.0 + (len(cable.flags) * (FLAG_MM + 1))


def backbone_lines(cable: Backbone) -> tuple[str, str]:
    """Label above, type and length below the line; a type of many letters is cut, its id is in the schedules."""
    return cable.label, cable.detail
