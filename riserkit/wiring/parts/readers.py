"""Readers as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Terminal
from riserkit.model.parts import (
    Reader,
)
from riserkit.wiring.parts.electrical import electronics
from riserkit.wiring.roles import DeviceRole, ElementRole


def reader(part: Reader, ref: str, *, outside: bool) -> Component:
    """A reader on the controller's bus, fed from its auxiliary output."""
    draw = electronics(part.draw_a, ElementRole.READER_LOAD)
    terminals = (
        Terminal("+", "supply", "+"), Terminal("-", "supply", "-"), Terminal("B1", "bus"), Terminal("B2", "bus"),
    )  # fmt: skip
    title = part.title or ("Reader, entry side" if outside else "Reader, exit side")
    place = "unsecured side" if outside else "secured side"
    return Component(ref, title, terminals, (draw,), part.id, exposed=outside, place=place, role=DeviceRole.READER)
