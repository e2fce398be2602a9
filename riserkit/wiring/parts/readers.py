"""Readers as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

import re
from typing import Final

from riserkit.circuits.netlist import Component, Terminal
from riserkit.model.parts import Reader
from riserkit.wiring.parts.electrical import electronics
from riserkit.wiring.roles import DeviceRole, ElementRole

_SIDE: Final = re.compile(r",? (entry|exit) side$", re.IGNORECASE)


def reader(part: Reader, ref: str, *, outside: bool) -> Component:
    """A reader on the controller's bus, fed from its auxiliary output."""
    draw = electronics(part.draw_a, ElementRole.READER_LOAD)
    terminals = (
        Terminal("+", "supply", "+"), Terminal("-", "supply", "-"), Terminal("BUSA", "bus"), Terminal("BUSB", "bus"),
    )  # fmt: skip
    # The same part reads on either side: its title's own side, if it has one, gives way to where it is.
    title = f"{_SIDE.sub('', part.title) or 'Reader'}, {'entry' if outside else 'exit'} side"
    place = "unsecured side" if outside else "secured side"
    return Component(ref, title, terminals, (draw,), part.id, exposed=outside, place=place, role=DeviceRole.READER)
