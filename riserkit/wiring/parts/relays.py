"""Relay modules and trigger inputs as components."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import Lock, Relay
from riserkit.standards.door_devices import OWN_SUPPLY_TOLERANCE, RELAY_DROP_OUT, TRIGGER_OHM, TRIGGER_PULL_IN
from riserkit.wiring.parts.electrical import coil_values, contact, least_v, source, stated, toleranced
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

_CONTACTS = (Terminal("C", "common"), Terminal("NO", "closes when energised"), Terminal("NC", "opens when energised"))


def relay_module(part: Relay, ref: str = "K2") -> Component:
    """A relay module on the secured side.

    The authenticated kind obeys the controller's message, whatever is done to LKA and LKB; the voltage-triggered kind moves on voltage at
    T+ T-, whoever put it there. Without its own supply the contacts of both stand at rest.
    """
    supply = (Terminal("V+", "supply", "+"), Terminal("V-", "supply", "-"))
    drawn = _coil(part, part.coil_v, part.coil_a, part.v_drop_out_v)
    coil = Element("relay", ElementKind.COIL, "_told", "V-", drawn, role=ElementRole.MODULE_COIL)
    if part.command == "authenticated":
        command = (Terminal("LKA", "module link"), Terminal("LKB", "module link"))
        elements = [contact("message", "V+", "_told", "K1.output", ElementRole.MODULE_MESSAGE, closed=False), coil]
    else:
        command = (Terminal("T+", "trigger", "+"), Terminal("T-", "trigger", "-"))
        elements = [
            Element(
                "trigger", ElementKind.COIL, "T+", "T-", _coil(part, part.trigger_v, part.trigger_a, None),
                role=ElementRole.MODULE_TRIGGER,
            ),
            contact("gate", "V+", "_told", f"{ref}.trigger", ElementRole.MODULE_GATE, closed=False),
            coil,
        ]  # fmt: skip
    elements += [
        contact("no", "C", "NO", f"{ref}.relay", ElementRole.MODULE_NO, closed=False, ohm=part.contact_ohm),
        contact("nc", "C", "NC", f"{ref}.relay", ElementRole.MODULE_NC, closed=True, ohm=part.contact_ohm),
    ]
    return Component(
        ref, part.title or "Relay module", supply + command + _CONTACTS, tuple(elements), part.id, place="secured side",
        role=DeviceRole.RELAY_MODULE,
    )  # fmt: skip


def _coil(part: Relay, volts: float | None, amps: float | None, drop_out_v: float | None) -> dict[str, float]:
    return coil_values(volts, amps, least_v(volts, part.tolerance_low), drop_out_v, RELAY_DROP_OUT.value)


def own_supply_title(lock: Lock) -> str:
    """What the crew calls the supply that comes with a lock.

    Examples:
        >>> own_supply_title(Lock(id="L", kind="electrified-latch"))
        "Lock's own supply"
    """
    return "Exit device's own supply" if lock.kind == "electrified-exit-device" else "Lock's own supply"


def exit_device_supply(lock: Lock, ref: str = "G1") -> Component:
    """A lock's own supply, as of an exit device, with a dry trigger input: a contact closed across TRA TRB works the lock."""
    half_v, ohm = stated(lock.rated_v) / 2, TRIGGER_OHM.value
    sense = coil_values(half_v, half_v / ohm, TRIGGER_PULL_IN.value * half_v, None, RELAY_DROP_OUT.value)
    volts = toleranced(lock.rated_v, OWN_SUPPLY_TOLERANCE.value)
    elements = (
        source("output", "_source", "O-", volts, None, ElementRole.SUPPLY_OUTPUT),
        contact("mains", "_source", "_live", f"{ref}.mains_lost", ElementRole.MAINS_FEED, closed=True),
        Element(
            "pull_up", ElementKind.RESISTOR, "_live", "TRA", {"r_ohm": ohm}, role=ElementRole.TRIGGER_PULL_UP
        ),
        Element(
            "sense", ElementKind.COIL, "TRB", "O-", sense,
            role=ElementRole.TRIGGER_INPUT,
        ),
        contact("switch", "_live", "O+", f"{ref}.sense", ElementRole.TRIGGERED_OUTPUT, closed=False),
    )  # fmt: skip
    terminals = (Terminal("TRA", "trigger"), Terminal("TRB", "trigger"), Terminal("O+", "to device", "+"),
                 Terminal("O-", "to device", "-"))  # fmt: skip
    return Component(
        ref, own_supply_title(lock), terminals, elements, place="secured side", role=DeviceRole.OWN_SUPPLY,
        states=(OutsideState("mains_lost", StateRole.MAINS_LOST),),
    )  # fmt: skip
