"""What gives lock power as components, supplies and splitters: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from dataclasses import replace

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.model.parts import DcSupply, Splitter
from riserkit.standards.door_devices import FLOAT_TOLERANCE
from riserkit.wiring.closets import AT_DOOR, closet_place
from riserkit.wiring.parts.electrical import UNKNOWN, contact, source, toleranced
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def dc_supply(part: DcSupply, ref: str, closet: str = "", at_door: str = AT_DOOR) -> Component:
    """A DC supply in a closet or else at the door: alive while either its mains or, where it has one, its battery is there.

    `at_door`: where it is put there, in words.
    """
    volts = part.range_v or (UNKNOWN, UNKNOWN, UNKNOWN)
    output = source("output", "_source", "S-", volts, part.output_a, ElementRole.SUPPLY_OUTPUT, part.source_ohm)
    if part.follows_battery and part.float_v is not None:
        tolerance = FLOAT_TOLERANCE.value if part.tolerance is None else part.tolerance
        # What is stated is the highest, for which locks and devices are judged: a meter may not be promised more.
        named = {
            "float_nominal_v": part.float_v,
            "float_low_v": part.float_v * (1 - tolerance),
            "float_high_v": part.float_v,
        }
        output = replace(output, values={**output.values, **named})
    elements = [
        output,
        contact("mains", "_source", "S+", f"{ref}.mains_lost", ElementRole.MAINS_FEED, closed=True),
    ]
    states = [OutsideState("mains_lost", StateRole.MAINS_LOST)]
    if part.battery_ah is not None:
        elements.append(
            contact("battery", "_source", "S+", f"{ref}.battery_lost", ElementRole.BATTERY_FEED, closed=True)
        )
        states.append(OutsideState("battery_lost", StateRole.BATTERY_LOST))
    terminals = (Terminal("S+", "output", "+"), Terminal("S-", "output", "-"))
    return Component(
        ref, part.title or "DC supply", terminals, tuple(elements), part.id, place=closet_place(closet) or at_door,
        role=DeviceRole.SUPPLY, states=tuple(states), closet=closet,
    )  # fmt: skip


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
