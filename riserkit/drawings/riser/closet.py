"""Draws a closet of a riser: its outline, header, switches and supplies, one below the other."""

from __future__ import annotations

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.places import PlacedCloset
from riserkit.drawings.riser.values import DeviceBox, Flag
from riserkit.drawings.setting.legend import draw_flag

_ROOMS_MM = {"closet": {"REF": 36.0, "TITLE": 36.0}, "switch": {"REF": 26.0, "PORTS": 27.0, "LABEL": 26.0}}
_SUPPLY_ROOMS_MM = {"REF": 14.0, "LABEL": 21.0}


def draw_closet(canvas: Canvas, placed: PlacedCloset, dx: float, dy: float) -> None:
    """Draw it, moved by so much."""
    rect, box = placed.rect.moved(dx, dy), placed.box
    left = rect.x0 + m.BOX_PAD_MM
    head = (left + m.DEVICE_MM / 2, placed.port_y + dy)
    with canvas.subject(f"closet:{box.id}"), canvas.group(f"closet:{box.id}"):
        canvas.rect(rect, layers.ROOM)
        values = {"REF": box.label, "TITLE": box.title}
        canvas.insert("closet", head, values, fit_mm=_ROOMS_MM["closet"])
        _flags(canvas, (left + m.DEVICE_MM, head[1] + 3.5), box.flags)
        lines = m.box_title_lines(box)
        top = head[1] - m.BOX_HEADER_MM / 2
        canvas.lines(lines, (left, top - 1.5), m.TEXT_MM, "top_left", layers.IDENT)
    top -= len(lines) * m.PITCH_MM
    for n, column in enumerate(m.box_columns(box)):
        y = top
        for device in column:
            _device(canvas, device, (left + n * m.BOX_COLUMN_MM, y - 2.0))
            y -= m.device_height_mm(device)


def _device(canvas: Canvas, device: DeviceBox, top_left: Point) -> None:
    body = SYMBOLS[device.symbol].body
    x, y = top_left
    rooms = _ROOMS_MM.get(device.symbol, _SUPPLY_ROOMS_MM)
    with canvas.subject(device.subject), canvas.group(device.subject):
        canvas.insert(device.symbol, (x - body.x0, y - body.y1), device.values, fit_mm=rooms)
        canvas.lines(m.device_lines(device), (x, y - body.height - 1.3), m.TEXT_MM, "top_left", layers.IDENT)
        _flags(canvas, (x + body.width, y - 3.2), device.flags)


def _flags(canvas: Canvas, right_of: Point, flags: tuple[Flag, ...]) -> None:
    for n, flag in enumerate(flags):
        center = (right_of[0] + m.FLAG_MM / 2 + 0.6, right_of[1] - n * m.FLAG_MM)
        draw_flag(canvas, center, flag.text, accepted=flag.accepted)
