"""Parts as components: their terminals as they are labelled on the sheet, and their electrical model.

Designations follow IEC 81346-2: B sensor, G source, K processing and relays, M actuator, R diode and suppressor, S manual
switch, T converter, X terminal. Contacts of buttons are numbered after EN 50005: 11-12 opens, 23-24 closes.
Every device, element and outside state carries its role (`wiring/roles.py`); nothing downstream reads a designation.
"""

from __future__ import annotations

from collections.abc import Mapping
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
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

# Contact and bond resistances are those of clean small contacts and a printed-circuit track (common practice, no source).
CONTACT_OHM: Final = 0.05
BOND_OHM: Final = 0.01
SOURCE_OHM: Final = 0.02
INPUT_PULL_UP_OHM: Final = 4700.0
DIODE: Final[Mapping[str, float]] = {"v_forward_v": 0.7, "r_on_ohm": 0.05}
INPUT_DEFAULT_V: Final = 3.3


def contact(name: str, a: str, b: str, control: str, role: ElementRole, *, closed: bool) -> Element:
    """A contact; `closed` while its control is at rest."""
    return Element(name, ElementKind.CONTACT, a, b, {"r_closed_ohm": CONTACT_OHM}, control, closed, role)


def source(
    name: str,
    plus: str,
    minus: str,
    volts: tuple[float, float, float],
    limit_a: float | None,
    role: ElementRole,
    r_ohm: float = SOURCE_OHM,
) -> Element:
    """A source with nominal, low and high volts and, where it has one, a current limit."""
    nominal, low, high = volts
    values = {"v_nominal_v": nominal, "v_low_v": low, "v_high_v": high, "r_ohm": r_ohm}
    if limit_a is not None:
        values["i_limit_a"] = limit_a
    return Element(name, ElementKind.SOURCE, plus, minus, values, role=role)


def toleranced(nominal_v: float, tolerance: float) -> tuple[float, float, float]:
    """(nominal, low, high) for a symmetric tolerance."""
    return nominal_v, nominal_v * (1 - tolerance), nominal_v * (1 + tolerance)


def network_port(label: str, closet: str) -> Component:
    """The port in the closet that the data cable comes from."""
    return Component(
        "N1", f"Port {label}" if label else "Switch port", (Terminal("J", "network jack"),), place=closet,
        role=DeviceRole.NETWORK_PORT, states=(OutsideState("power_lost", StateRole.NETWORK_POWER_LOST),),
    )  # fmt: skip


def controller(part: Controller, *, outside: bool, fed_from_network: bool = True) -> Component:
    """The controller: lock output L, auxiliary output A, inputs D and R with return IC, link M, reader bus B."""
    volts = toleranced(part.output_v or 12.0, part.output_tolerance)
    auxiliary = toleranced(part.auxiliary_v or part.output_v or 12.0, part.output_tolerance)
    names = [("J", "network", ""), ("L+", "lock output", "+"), ("L-", "lock output", "-"), ("A+", "auxiliary 12 V", "+"),
             ("A-", "auxiliary 12 V", "-"), ("D", "door input", ""), ("R", "second input", ""), ("IC", "input return", "")]  # fmt: skip
    if part.module_link:
        names += [("M1", "module link", ""), ("M2", "module link", "")]
    if part.reader_bus:
        names += [("B1", "reader bus", ""), ("B2", "reader bus", "")]
    elements = list(_inputs(part.input_v or INPUT_DEFAULT_V))
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
                "own_load", ElementKind.POWER_LOAD, "A+", "A-", {"p_w": part.own_w or 0.0},
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
    return Element(name, ElementKind.RESISTOR, a, b, {"r_ohm": BOND_OHM}, role=role)


def _inputs(volts: float) -> tuple[Element, ...]:
    return tuple(
        Element(
            f"input_{name.lower()}", ElementKind.SOURCE, name, "IC",
            {"v_nominal_v": volts, "v_low_v": volts, "v_high_v": volts, "r_ohm": INPUT_PULL_UP_OHM}, role=role,
        )
        for name, role in (("D", ElementRole.DOOR_INPUT), ("R", ElementRole.REQUEST_INPUT))
    )  # fmt: skip


def lock(part: Lock, ref: str) -> Component:
    """A lock's coil, with the resistance of the highest current it draws.

    A lock that picks up with more current than it holds with has the resistance of holding beside it, `r_hold_ohm`: it
    sees its lowest voltage while it picks up, its highest while it holds.
    """
    rated_v = part.rated_v or 12.0
    current_a = max(part.hold_a or 0.0, part.pull_in_a or 0.0)
    values = {"r_ohm": rated_v / current_a}
    if part.hold_a and part.hold_a < current_a:
        values["r_hold_ohm"] = rated_v / part.hold_a
    values["v_pull_in_v"] = part.v_pull_in_v or rated_v * (1 - (part.tolerance_low or 0.15))
    values["v_drop_out_v"] = part.v_drop_out_v or 0.1 * rated_v
    if part.inductance_h is not None:
        values["l_h"] = part.inductance_h
    return Component(
        ref, part.title or "Lock", (Terminal("+", "coil", "+"), Terminal("-", "coil", "-")),
        (Element("coil", ElementKind.COIL, "+", "-", values, role=ElementRole.LOCK_COIL),), part.id,
        place="at the door, secured side", role=DeviceRole.LOCK,
    )  # fmt: skip


def suppressor(part: Suppressor | None, ref: str) -> Component:
    """A flyback diode (terminals A and K) or a suppressor without polarity (terminals 1 and 2)."""
    if part is None or part.kind == "diode":
        element = Element("diode", ElementKind.DIODE, "A", "K", DIODE, role=ElementRole.SUPPRESSION)
        terminals = (Terminal("K", "cathode, to lock +", "+"), Terminal("A", "anode, to lock -", "-"))
    else:
        element = Element(
            "suppressor", ElementKind.SUPPRESSOR, "1", "2", {"v_clamp_v": part.clamp_v or 47.0},
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
    plain = contact("contact", "C", "NO", f"{ref}.motion", ElementRole.SENSOR_CONTACT, closed=False)
    if not part.draw_a:
        return Component(
            ref, title, contact_terminals, (plain,), part.id, place=place, role=DeviceRole.REX_SENSOR, states=motion
        )
    supply = (Terminal("+", "supply", "+"), Terminal("-", "supply", "-"))
    rated_v = part.rated_v or 12.0
    if part.releases_on_loss:
        # The relay inside is held while idle; motion or a lost supply lets it go, which closes NO at the terminals.
        elements: tuple[Element, ...] = (
            contact("sense", "+", "_held", f"{ref}.motion", ElementRole.SENSOR_DETECTOR, closed=True),
            Element(
                "relay", ElementKind.COIL, "_held", "-",
                {"r_ohm": rated_v / part.draw_a, "v_pull_in_v": 0.7 * rated_v, "v_drop_out_v": 0.2 * rated_v},
                role=ElementRole.SENSOR_RELAY,
            ),
            contact("contact", "C", "NO", f"{ref}.relay", ElementRole.SENSOR_CONTACT, closed=True),
        )  # fmt: skip
        if breaks:
            contact_terminals += (Terminal("C2", "lock power"), Terminal("NC2", "lock power, opens on motion"))
            elements += (contact("break", "C2", "NC2", f"{ref}.relay", ElementRole.SENSOR_POLE, closed=False),)
    else:
        elements = (
            Element(
                "supply", ElementKind.CURRENT_LOAD, "+", "-", {"i_a": part.draw_a, "v_min_v": 1.0},
                role=ElementRole.SENSOR_LOAD,
            ),
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


def reader(part: Reader, ref: str, *, outside: bool) -> Component:
    """A reader on the controller's bus, fed from its auxiliary output."""
    draw = Element(
        "supply", ElementKind.CURRENT_LOAD, "+", "-", {"i_a": part.draw_a or 0.0, "v_min_v": 1.0},
        role=ElementRole.READER_LOAD,
    )  # fmt: skip
    terminals = (
        Terminal("+", "supply", "+"), Terminal("-", "supply", "-"), Terminal("B1", "bus"), Terminal("B2", "bus"),
    )  # fmt: skip
    title = part.title or ("Reader, entry side" if outside else "Reader, exit side")
    place = "unsecured side" if outside else "secured side"
    return Component(ref, title, terminals, (draw,), part.id, exposed=outside, place=place, role=DeviceRole.READER)


def release_button(part: ReleaseButton, ref: str = "S1") -> Component:
    """A manual release: pole 11-12 breaks lock power itself, pole 23-24 tells the controller."""
    terminals = [Terminal("11", "lock power"), Terminal("12", "lock power")]
    elements = [contact("break", "11", "12", f"{ref}.pressed", ElementRole.RELEASE_POLE, closed=True)]
    if (part.poles or 1) >= 2:
        terminals += [Terminal("23", "to input"), Terminal("24", "to input")]
        elements.append(contact("tell", "23", "24", f"{ref}.pressed", ElementRole.RELEASE_SIGNAL, closed=False))
    return Component(
        ref, part.title or "Manual release", tuple(terminals), tuple(elements), part.id,
        place="secured side, beside the door", role=DeviceRole.MANUAL_RELEASE,
        states=(OutsideState("pressed", StateRole.RELEASE_PRESSED),),
    )  # fmt: skip


def fire_relay(part: FireRelay | None, ref: str = "K3") -> Component:
    """The fire alarm system's contact: opens in alarm."""
    return Component(
        ref, part.title if part and part.title else "Fire alarm relay", (Terminal("C"), Terminal("NC", "opens in alarm")),
        (contact("contact", "C", "NC", f"{ref}.alarm", ElementRole.FIRE_CONTACT, closed=True),),
        part.id if part else "", place="by fire alarm", role=DeviceRole.FIRE_RELAY,
        states=(OutsideState("alarm", StateRole.FIRE_ALARM),),
    )  # fmt: skip


def dc_supply(part: DcSupply, ref: str, place: str) -> Component:
    """A DC supply: alive while either its mains or, where it has one, its battery is there."""
    nominal = part.output_v or 12.0
    tolerance = part.tolerance or 0.0
    volts = (nominal, part.end_v or nominal * (1 - tolerance), part.float_v or nominal * (1 + tolerance))
    elements = [
        source(
            "output", "_source", "S-", volts, part.output_a, ElementRole.SUPPLY_OUTPUT, part.source_ohm or SOURCE_OHM
        ),
        contact("mains", "_source", "S+", f"{ref}.mains_lost", ElementRole.MAINS_FEED, closed=True),
    ]
    states = [OutsideState("mains_lost", StateRole.MAINS_LOST)]
    if part.battery_ah:
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
    volts = toleranced(part.output_v or 12.0, part.output_tolerance)
    terminals = (Terminal("J1", "network in"), Terminal("J2", "network out"), Terminal("P+", "12 V out", "+"),
                 Terminal("P-", "12 V out", "-"))  # fmt: skip
    elements = (
        source("output", "_source", "P-", volts, part.output_a, ElementRole.SPLITTER_OUTPUT),
        contact("feed", "_source", "P+", "N1.power_lost", ElementRole.SPLITTER_FEED, closed=True),
    )
    return Component(
        ref, part.title or "PoE splitter", terminals, elements, part.id, place="secured side", role=DeviceRole.SPLITTER
    )
