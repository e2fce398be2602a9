"""Splitters as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Terminal
from riserkit.model.parts import (
    Splitter,
)
from riserkit.wiring.parts.electrical import contact, source, toleranced
from riserkit.wiring.roles import DeviceRole, ElementRole


def splitter(part: Splitter, ref: str = "T1") -> Component:
    """A PoE splitter: 12 V from the PoE cable, alive while the port feeds it."""
    volts = toleranced(part.output_v, part.output_tolerance)
    terminals = (Terminal("JIN", "network in"), Terminal("JOUT", "network out"), Terminal("P+", "12 V out", "+"),
                 Terminal("P-", "12 V out", "-"))  # fmt: skip
    elements = (
        source("output", "_source", "P-", volts, part.output_a, ElementRole.SPLITTER_OUTPUT),
        contact("feed", "_source", "P+", "N1.power_lost", ElementRole.SPLITTER_FEED, closed=True),
    )
    return Component(
        ref, part.title or "PoE splitter", terminals, elements, part.id, place="secured side", role=DeviceRole.SPLITTER
    )
