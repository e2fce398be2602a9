"""Network ports as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.wiring.closets import closet_place
from riserkit.wiring.roles import DeviceRole, StateRole


def network_port(label: str, closet: str) -> Component:
    """The port in the closet (its id; empty where it is not known) that the PoE cable comes from."""
    return Component(
        "N1", f"Port {label}" if label else "Switch port", (Terminal("J", "network jack"),),
        place=closet_place(closet), role=DeviceRole.NETWORK_PORT,
        states=(OutsideState("power_lost", StateRole.NETWORK_POWER_LOST),), closet=closet,
    )  # fmt: skip
