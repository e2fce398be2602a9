"""Relay modules and trigger inputs as components."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, Terminal
from riserkit.model.parts import Lock, Relay
from riserkit.wiring.components import CONTACT_OHM, source

_CONTACTS = (Terminal("C", "common"), Terminal("NO", "closes when told"), Terminal("NC", "opens when told"))
TRIGGER_OHM = 2200.0


def relay_module(part: Relay, ref: str = "K2") -> Component:
    """A relay module on the secured side.

    The authenticated kind obeys the controller's message, whatever is done to M1 and M2; the voltage-triggered kind moves on voltage at
    T+ T-, whoever put it there. Without its own supply the contacts of both stand at rest.
    """
    coil_v = part.coil_v or 12.0
    supply = (Terminal("V+", "supply", "+"), Terminal("V-", "supply", "-"))
    coil = Element("relay", ElementKind.COIL, "_told", "V-", _coil(coil_v, part.coil_a or 0.05))
    if part.command == "authenticated":
        command = (Terminal("M1", "module link"), Terminal("M2", "module link"))
        elements = [_contact("message", "V+", "_told", "K1.output", closed=False), coil]
    else:
        command = (Terminal("T+", "trigger", "+"), Terminal("T-", "trigger", "-"))
        trigger_v = part.trigger_v or 12.0
        elements = [
            Element("trigger", ElementKind.COIL, "T+", "T-", _coil(trigger_v, part.trigger_a or 0.01)),
            _contact("gate", "V+", "_told", f"{ref}.trigger", closed=False),
            coil,
        ]
    elements += [
        _contact("no", "C", "NO", f"{ref}.relay", closed=False),
        _contact("nc", "C", "NC", f"{ref}.relay", closed=True),
    ]
    title = part.title or "Relay module"
    return Component(ref, title, supply + command + _CONTACTS, tuple(elements), part.id, place="secured side")


def _coil(volts: float, amps: float) -> dict[str, float]:
    return {"r_ohm": volts / amps, "v_pull_in_v": 0.7 * volts, "v_drop_out_v": 0.1 * volts}


def _contact(name: str, a: str, b: str, control: str, *, closed: bool) -> Element:
    return Element(name, ElementKind.CONTACT, a, b, {"r_closed_ohm": CONTACT_OHM}, control, closed)


def exit_device_supply(lock: Lock, ref: str = "G1") -> Component:
    """An exit device's own supply with a dry trigger input: a contact closed across TR1 TR2 works the device."""
    rated_v = lock.rated_v or 24.0
    elements = (
        source("output", "_source", "O-", (rated_v, rated_v * 0.97, rated_v * 1.03), None),
        _contact("mains", "_source", "_live", f"{ref}.mains_lost", closed=True),
        Element("pull_up", ElementKind.RESISTOR, "_live", "TR1", {"r_ohm": TRIGGER_OHM}),
        Element("sense", ElementKind.COIL, "TR2", "O-", _coil(rated_v / 2, rated_v / 2 / TRIGGER_OHM)),
        _contact("switch", "_live", "O+", f"{ref}.sense", closed=False),
    )
    terminals = (Terminal("TR1", "trigger"), Terminal("TR2", "trigger"), Terminal("O+", "to device", "+"),
                 Terminal("O-", "to device", "-"))  # fmt: skip
    return Component(ref, "Exit device's own supply", terminals, elements, place="secured side")
