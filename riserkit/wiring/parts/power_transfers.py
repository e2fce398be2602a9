"""Hinge power transfers as components: terminals as labelled on the sheet; copper through, and no electrical model."""

from __future__ import annotations

from typing import Final

from riserkit.circuits.netlist import Component, Terminal
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.roles import DeviceRole

POWER_TRANSFER_PART: Final = "hinge-transfer"


def power_transfer(ref: str) -> Component:
    """What brings lock power over the hinges into a leaf: the cable of the frame and that of the leaf meet in it."""
    return Component(
        ref, "Hinge power transfer", (Terminal("+", "lock power", "+"), Terminal("-", "lock power", "-")),
        part=POWER_TRANSFER_PART, place=DEVICE_PLACES["power-transfer"].where, role=DeviceRole.POWER_TRANSFER,
    )  # fmt: skip
