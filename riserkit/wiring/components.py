"""Parts as components: their terminals as they are labelled on the sheet, and their electrical model.

Designations follow IEC 81346-2: B sensor, G source, K processing and relays, M actuator, R diode and suppressor, S manual
switch, T converter, X terminal. Contacts of buttons are numbered after EN 50005: 11-12 opens, 23-24 closes.
Every device, element and outside state carries its role (`wiring/roles.py`); nothing downstream reads a designation.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import (
    Contact,
    Controller,
    DcSupply,
    FireRelay,
    Lock,
    Reader,
    ReleaseButton,
    RexSensor,
    Splitter,
    Suppressor,
)
from riserkit.standards.door_devices import (
    BOND_OHM,
    CONTACT_OHM,
    DIODE_FORWARD_V,
    DIODE_ON_OHM,
    ELECTRONICS_LEAST_V,
    FLOAT_TOLERANCE,
    INPUT_OPEN_V,
    INPUT_PULL_UP_OHM,
    LOCK_DROP_OUT,
    SENSOR_DROP_OUT,
    SOURCE_OHM,
)
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

UNKNOWN: Final = math.nan
"""A value that the part does not state: the circuit is drawn, and whoever tries to solve it is refused."""


def contact(
    name: str, a: str, b: str, control: str, role: ElementRole, *, closed: bool, ohm: float | None = None
) -> Element:
    """A contact of its part's resistance, else of the usual one; `closed` while its control is at rest."""
    values = {"r_closed_ohm": CONTACT_OHM.value if ohm is None else ohm}
    return Element(name, ElementKind.CONTACT, a, b, values, control, closed, role)


def stated(value: float | None) -> float:
    """The value, or UNKNOWN."""
    return UNKNOWN if value is None else value


def coil_values(
    rated_v: float | None, amps: float | None, pull_in_v: float, drop_out_v: float | None, share: float
) -> dict[str, float]:
    """Resistance at the rated point, and the volts at which the coil surely pulls in and lets go.

    Args:
        rated_v: rated voltage; None, as the next, where it is not stated.
        amps: current at that voltage.
        pull_in_v: from here on it has pulled in.
        drop_out_v: stated volts below which it has let go; None for the usual share of `rated_v`.
        share: that share.
    """
    volts = stated(rated_v)
    let_go_v = min(share * volts, pull_in_v) if drop_out_v is None else drop_out_v
    return {"r_ohm": volts / stated(amps), "v_pull_in_v": pull_in_v, "v_drop_out_v": let_go_v}


def least_v(rated_v: float | None, tolerance_low: float | None) -> float:
    """Least voltage that a part is made for."""
    return stated(rated_v) * (1 - stated(tolerance_low))


def source(
    name: str,
    plus: str,
    minus: str,
    volts: tuple[float, float, float],
    limit_a: float | None,
    role: ElementRole,
    r_ohm: float | None = None,
) -> Element:
    """A source with nominal, low and high volts and, where it has one, a current limit."""
    nominal, low, high = volts
    values = {"v_nominal_v": nominal, "v_low_v": low, "v_high_v": high}
    values["r_ohm"] = SOURCE_OHM.value if r_ohm is None else r_ohm
    if limit_a is not None:
        values["i_limit_a"] = limit_a
    return Element(name, ElementKind.SOURCE, plus, minus, values, role=role)


def toleranced(nominal_v: float | None, tolerance: float | None) -> tuple[float, float, float]:
    """(nominal, low, high) for a symmetric tolerance."""
    volts, share = stated(nominal_v), stated(tolerance)
    return volts, volts * (1 - share), volts * (1 + share)


def network_port(label: str, closet: str) -> Component:
    """The port in the closet that the data cable comes from."""
    return Component(
        "N1", f"Port {label}" if label else "Switch port", (Terminal("J", "network jack"),), place=closet,
        role=DeviceRole.NETWORK_PORT, states=(OutsideState("power_lost", StateRole.NETWORK_POWER_LOST),),
    )  # fmt: skip


def controller(part: Controller, *, outside: bool, fed_from_network: bool = True) -> Component:
    """The controller: lock output L, auxiliary output A, inputs D and R with return IC, link M, reader bus B."""
    volts = toleranced(part.output_v, part.output_tolerance)
    auxiliary = toleranced(part.auxiliary_v, part.output_tolerance)
    names = [("J", "network", ""), ("L+", "lock output", "+"), ("L-", "lock output", "-"), ("A+", "auxiliary 12 V", "+"),
             ("A-", "auxiliary 12 V", "-"), ("D", "door input", ""), ("R", "second input", ""), ("IC", "input return", "")]  # fmt: skip
    if part.module_link:
        names += [("M1", "module link", ""), ("M2", "module link", "")]
    if part.reader_bus:
        names += [("B1", "reader bus", ""), ("B2", "reader bus", "")]
    elements = list(_inputs(INPUT_OPEN_V.value if part.input_v is None else part.input_v))
    if fed_from_network:
        elements += [
            source("lock_rail", "_lock", "L-", volts, part.output_limit_a, ElementRole.LOCK_OUTPUT_SUPPLY),
            contact("lock_feed", "_lock", "_switch", "N1.power_lost", ElementRole.LOCK_OUTPUT_FEED, closed=True),
            contact("output", "_switch", "L+", "K1.output", ElementRole.LOCK_OUTPUT, closed=False),
            source("auxiliary_rail", "_aux", "A-", auxiliary, part.auxiliary_limit_a, ElementRole.AUXILIARY_SUPPLY),
            contact("auxiliary_feed", "_aux", "A+", "N1.power_lost", ElementRole.AUXILIARY_FEED, closed=True),
        ]
    else:
        elements += [
            Element(
                "own_load", ElementKind.POWER_LOAD, "A+", "A-", {"p_w": stated(part.own_w)},
                role=ElementRole.CONTROLLER_LOAD,
            ),
            contact("output", "A+", "L+", "K1.output", ElementRole.LOCK_OUTPUT, closed=False),
        ]  # fmt: skip
    elements.append(_bond("bond", "L-", "A-", ElementRole.LOCK_OUTPUT_RETURN))
    elements.append(_bond("input_bond", "A-", "IC", ElementRole.INPUT_RETURN))
    return Component(
        "K1", part.title or "Door controller", tuple(Terminal(*n) for n in names), tuple(elements), part.id,
        exposed=outside, place="unsecured side" if outside else "secured side", role=DeviceRole.CONTROLLER,
        states=(OutsideState("output", StateRole.COMMAND),),
    )  # fmt: skip


def _bond(name: str, a: str, b: str, role: ElementRole) -> Element:
    return Element(name, ElementKind.RESISTOR, a, b, {"r_ohm": BOND_OHM.value}, role=role)


def _inputs(volts: float) -> tuple[Element, ...]:
    return tuple(
        Element(
            f"input_{name.lower()}", ElementKind.SOURCE, name, "IC",
            {"v_nominal_v": volts, "v_low_v": volts, "v_high_v": volts, "r_ohm": INPUT_PULL_UP_OHM.value}, role=role,
        )
        for name, role in (("D", ElementRole.DOOR_INPUT), ("R", ElementRole.REQUEST_INPUT))
    )  # fmt: skip


def lock(part: Lock, ref: str, *, accessible: bool = False) -> Component:
    """A lock's coil, with the resistance of the highest current it draws; `accessible` from the unsecured side.

    A lock that picks up with more current than it holds with has the resistance of holding beside it, `r_hold_ohm`: it
    sees its lowest voltage while it picks up, its highest while it holds.
    """
    known = [amps for amps in (part.hold_a, part.pull_in_a) if amps is not None]
    current_a = max(known, default=None)
    pull_in_v = least_v(part.rated_v, part.tolerance_low) if part.v_pull_in_v is None else part.v_pull_in_v
    values = coil_values(part.rated_v, current_a, pull_in_v, part.v_drop_out_v, LOCK_DROP_OUT.value)
    if part.hold_a and current_a is not None and part.hold_a < current_a:
        values["r_hold_ohm"] = stated(part.rated_v) / part.hold_a
    if part.inductance_h is not None:
        values["l_h"] = part.inductance_h
    return Component(
        ref, part.title or "Lock", (Terminal("+", "coil", "+"), Terminal("-", "coil", "-")),
        (Element("coil", ElementKind.COIL, "+", "-", values, role=ElementRole.LOCK_COIL),), part.id,
        exposed=accessible, place="at the door, accessible" if accessible else "at the door, secured side",
        role=DeviceRole.LOCK,
    )  # fmt: skip


def suppressor(part: Suppressor | None, ref: str) -> Component:
    """A flyback diode (terminals A and K) or a suppressor without polarity (terminals 1 and 2)."""
    if part is None or part.kind == "diode":
        forward_v = DIODE_FORWARD_V.value if part is None else stated(part.clamp_v)
        values = {"v_forward_v": forward_v, "r_on_ohm": DIODE_ON_OHM.value}
        element = Element("diode", ElementKind.DIODE, "A", "K", values, role=ElementRole.SUPPRESSION)
        terminals = (Terminal("K", "cathode, to lock +", "+"), Terminal("A", "anode, to lock -", "-"))
    else:
        element = Element(
            "suppressor", ElementKind.SUPPRESSOR, "1", "2", {"v_clamp_v": stated(part.clamp_v)},
            role=ElementRole.SUPPRESSION,
        )  # fmt: skip
        terminals = (Terminal("1"), Terminal("2"))
    title = part.title if part and part.title else "Flyback diode"
    return Component(
        ref, title, terminals, (element,), part.id if part else "", place="at the lock", role=DeviceRole.SUPPRESSOR
    )


def door_contact(part: Contact, ref: str) -> Component:
    """A door position switch: closed while the door is closed."""
    return Component(
        ref, part.title or "Door position switch", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.open", ElementRole.DOOR_CONTACT, closed=True),), part.id,
        place="door head, latch side", role=DeviceRole.DOOR_CONTACT, states=(OutsideState("open", StateRole.DOOR_OPEN),),
    )  # fmt: skip


def rex_sensor(part: RexSensor, ref: str = "B2", *, breaks: bool = False) -> Component:
    """A REX sensor: its NO contact closes on motion and, where the part is made so, when it loses its supply.

    `breaks`: a second pole C2 NC2 opens at the same time, in the lock's feed.
    """
    contact_terminals: tuple[Terminal, ...] = (Terminal("C", "common"), Terminal("NO", "closes on motion"))
    title = part.title or "REX sensor"
    place = "above header, egress side"
    motion = (OutsideState("motion", StateRole.MOTION),)
    own_ohm = part.contact_ohm
    plain = contact("contact", "C", "NO", f"{ref}.motion", ElementRole.SENSOR_CONTACT, closed=False, ohm=own_ohm)
    if not part.is_powered:
        return Component(
            ref, title, contact_terminals, (plain,), part.id, place=place, role=DeviceRole.REX_SENSOR, states=motion
        )
    supply = (Terminal("+", "supply", "+"), Terminal("-", "supply", "-"))
    if part.releases_on_loss:
        # The relay inside is held while idle; motion or a lost supply lets it go, which closes NO at the terminals.
        elements: tuple[Element, ...] = (
            contact("sense", "+", "_held", f"{ref}.motion", ElementRole.SENSOR_DETECTOR, closed=True),
            Element(
                "relay", ElementKind.COIL, "_held", "-",
                coil_values(
                    part.rated_v, part.draw_a, least_v(part.rated_v, part.tolerance_low), part.v_drop_out_v,
                    SENSOR_DROP_OUT.value,
                ),
                role=ElementRole.SENSOR_RELAY,
            ),
            contact("contact", "C", "NO", f"{ref}.relay", ElementRole.SENSOR_CONTACT, closed=True, ohm=own_ohm),
        )  # fmt: skip
        if breaks:
            contact_terminals += (Terminal("C2", "lock power"), Terminal("NC2", "lock power, opens on motion"))
            pole = ElementRole.SENSOR_POLE
            elements += (contact("break", "C2", "NC2", f"{ref}.relay", pole, closed=False, ohm=own_ohm),)
    else:
        elements = (
            _electronics(part.draw_a, ElementRole.SENSOR_LOAD),
            plain,
        )  # fmt: skip
    return Component(
        ref, title, supply + contact_terminals, tuple(elements), part.id, place=place, role=DeviceRole.REX_SENSOR,
        states=motion,
    )  # fmt: skip


def auxiliary_contact(ref: str = "B2") -> Component:
    """A normally open contact of someone else's equipment on the second input, such as an intercom's."""
    return Component(
        ref, "Auxiliary contact, by others", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.active", ElementRole.AUXILIARY_CONTACT, closed=False),),
        place="by others", role=DeviceRole.AUXILIARY_CONTACT,
        states=(OutsideState("active", StateRole.AUXILIARY_ACTIVE),),
    )  # fmt: skip


def _electronics(draw_a: float | None, role: ElementRole) -> Element:
    values = {"i_a": stated(draw_a), "v_min_v": ELECTRONICS_LEAST_V.value}
    return Element("supply", ElementKind.CURRENT_LOAD, "+", "-", values, role=role)


def reader(part: Reader, ref: str, *, outside: bool) -> Component:
    """A reader on the controller's bus, fed from its auxiliary output."""
    draw = _electronics(part.draw_a, ElementRole.READER_LOAD)
    terminals = (
        Terminal("+", "supply", "+"), Terminal("-", "supply", "-"), Terminal("B1", "bus"), Terminal("B2", "bus"),
    )  # fmt: skip
    title = part.title or ("Reader, entry side" if outside else "Reader, exit side")
    place = "unsecured side" if outside else "secured side"
    return Component(ref, title, terminals, (draw,), part.id, exposed=outside, place=place, role=DeviceRole.READER)


def release_button(part: ReleaseButton, ref: str = "S1") -> Component:
    """A manual release: pole 11-12 breaks lock power itself, pole 23-24 tells the controller."""
    terminals = [Terminal("11", "lock power"), Terminal("12", "lock power")]
    pressed, ohm = f"{ref}.pressed", part.contact_ohm
    pole = contact("break", "11", "12", pressed, ElementRole.RELEASE_POLE, closed=True, ohm=ohm)
    if part.hold_s is not None:
        pole = replace(pole, values={**pole.values, "hold_s": part.hold_s})
    elements = [pole]
    if part.tells:
        terminals += [Terminal("23", "to input"), Terminal("24", "to input")]
        elements.append(contact("tell", "23", "24", pressed, ElementRole.RELEASE_SIGNAL, closed=False, ohm=ohm))
    return Component(
        ref, part.title or "Manual release", tuple(terminals), tuple(elements), part.id,
        place="secured side, beside the door", role=DeviceRole.MANUAL_RELEASE,
        states=(OutsideState("pressed", StateRole.RELEASE_PRESSED),),
    )  # fmt: skip


def fire_relay(part: FireRelay | None, ref: str = "K3") -> Component:
    """The fire alarm system's contact: opens in alarm."""
    ohm = part.contact_ohm if part else None
    return Component(
        ref, part.title if part and part.title else "Fire alarm relay", (Terminal("C"), Terminal("NC", "opens in alarm")),
        (contact("contact", "C", "NC", f"{ref}.alarm", ElementRole.FIRE_CONTACT, closed=True, ohm=ohm),),
        part.id if part else "", place="by fire alarm", role=DeviceRole.FIRE_RELAY,
        states=(OutsideState("alarm", StateRole.FIRE_ALARM),),
    )  # fmt: skip


def dc_supply(part: DcSupply, ref: str, place: str) -> Component:
    """A DC supply: alive while either its mains or, where it has one, its battery is there."""
    volts = part.range_v or (UNKNOWN, UNKNOWN, UNKNOWN)
    output = source("output", "_source", "S-", volts, part.output_a, ElementRole.SUPPLY_OUTPUT, part.source_ohm)
    if part.follows_battery and part.float_v is not None:
        tolerance = FLOAT_TOLERANCE.value if part.tolerance is None else part.tolerance
        floats = toleranced(part.float_v, tolerance)
        named = dict(zip(("float_nominal_v", "float_low_v", "float_high_v"), floats, strict=True))
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
        ref, part.title or "DC supply", terminals, tuple(elements), part.id, place=place, role=DeviceRole.SUPPLY,
        states=tuple(states),
    )  # fmt: skip


def splitter(part: Splitter, ref: str = "T1") -> Component:
    """A PoE splitter: 12 V from the data cable, alive while the port feeds it."""
    volts = toleranced(part.output_v, part.output_tolerance)
    terminals = (Terminal("J1", "network in"), Terminal("J2", "network out"), Terminal("P+", "12 V out", "+"),
                 Terminal("P-", "12 V out", "-"))  # fmt: skip
    elements = (
        source("output", "_source", "P-", volts, part.output_a, ElementRole.SPLITTER_OUTPUT),
        contact("feed", "_source", "P+", "N1.power_lost", ElementRole.SPLITTER_FEED, closed=True),
    )
    return Component(
        ref, part.title or "PoE splitter", terminals, elements, part.id, place="secured side", role=DeviceRole.SPLITTER
    )
