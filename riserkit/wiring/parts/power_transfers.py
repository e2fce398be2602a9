"""Hinge power transfers as components: terminals as labelled on the sheet; copper through, and no electrical model."""

from __future__ import annotations

from typing import Final

from riserkit.circuits.netlist import Component, Terminal
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.roles import DeviceRole

POWER_TRANSFER_PART: Final = "hinge-transfer"


def power_transfer(ref: str, terminals: tuple[Terminal, ...]) -> Component:
    """What brings wires over the hinges into a leaf: the cables of the frame and those of the leaf meet in it."""
    return Component(
        ref, "Hinge power transfer", terminals,
        part=POWER_TRANSFER_PART, place=DEVICE_PLACES["power-transfer"].where, role=DeviceRole.POWER_TRANSFER,
    )  # fmt: skip
