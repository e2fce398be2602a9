"""Parts as components: their terminals as they are labelled on the sheet, and their electrical model.

Designations follow IEC 81346-2: B sensor, G source, K processing and relays, M actuator, R diode and suppressor, S manual
switch, T converter, X terminal. Contacts of buttons are numbered after EN 50005: 11-12 opens, 23-24 closes.
Outside states that move contacts: `K1.output`, `B1.open`, `B2.motion`, `S1.pressed`, `K3.alarm`, `G1.mains_lost`,
`G1.battery_lost`, `N1.power_lost`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from riserkit.circuits.netlist import Component, Element, ElementKind, Terminal
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

# Contact and bond resistances are those of clean small contacts and a printed-circuit track (common practice, no source).
CONTACT_OHM: Final = 0.05
BOND_OHM: Final = 0.01
SOURCE_OHM: Final = 0.02
INPUT_PULL_UP_OHM: Final = 4700.0
DIODE: Final[Mapping[str, float]] = {"v_forward_v": 0.7, "r_on_ohm": 0.05}
INPUT_DEFAULT_V: Final = 3.3


def _contact(name: str, a: str, b: str, control: str, *, closed: bool) -> Element:
    return Element(name, ElementKind.CONTACT, a, b, {"r_closed_ohm": CONTACT_OHM}, control, closed)


def source(
    name: str,
    plus: str,
    minus: str,
    volts: tuple[float, float, float],
    limit_a: float | None,
    r_ohm: float = SOURCE_OHM,
) -> Element:
    """A source with nominal, low and high volts and, where it has one, a current limit."""
    nominal, low, high = volts
    values = {"v_nominal_v": nominal, "v_low_v": low, "v_high_v": high, "r_ohm": r_ohm}
    if limit_a is not None:
        values["i_limit_a"] = limit_a
    return Element(name, ElementKind.SOURCE, plus, minus, values)


def toleranced(nominal_v: float, tolerance: float) -> tuple[float, float, float]:
    """(nominal, low, high) for a symmetric tolerance."""
    return nominal_v, nominal_v * (1 - tolerance), nominal_v * (1 + tolerance)


def network_port(label: str, closet: str) -> Component:
    """The port in the closet that the data cable comes from."""
    return Component("N1", f"Port {label}" if label else "Switch port", (Terminal("J", "network jack"),), place=closet)


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
            source("lock_rail", "_lock", "L-", volts, part.output_limit_a),
            _contact("lock_feed", "_lock", "_switch", "N1.power_lost", closed=True),
            _contact("output", "_switch", "L+", "K1.output", closed=False),
            source("auxiliary_rail", "_aux", "A-", auxiliary, part.auxiliary_limit_a),
            _contact("auxiliary_feed", "_aux", "A+", "N1.power_lost", closed=True),
        ]
    else:
        elements += [
            Element("own_load", ElementKind.POWER_LOAD, "A+", "A-", {"p_w": part.own_w or 0.0}),
            _contact("output", "A+", "L+", "K1.output", closed=False),
        ]
    elements.append(Element("bond", ElementKind.RESISTOR, "L-", "A-", {"r_ohm": BOND_OHM}))
    elements.append(Element("input_bond", ElementKind.RESISTOR, "A-", "IC", {"r_ohm": BOND_OHM}))
    return Component(
        "K1", part.title or "Door controller", tuple(Terminal(*n) for n in names), tuple(elements), part.id,
        exposed=outside, place="unsecured side" if outside else "secured side",
    )  # fmt: skip


def _inputs(volts: float) -> tuple[Element, ...]:
    return tuple(
        Element(
            f"input_{name.lower()}", ElementKind.SOURCE, name, "IC",
            {"v_nominal_v": volts, "v_low_v": volts, "v_high_v": volts, "r_ohm": INPUT_PULL_UP_OHM},
        )
        for name in ("D", "R")
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
        (Element("coil", ElementKind.COIL, "+", "-", values),), part.id, place="at the door, secured side",
    )  # fmt: skip


def suppressor(part: Suppressor | None, ref: str) -> Component:
    """A flyback diode (terminals A and K) or a suppressor without polarity (terminals 1 and 2)."""
    if part is None or part.kind == "diode":
        element = Element("diode", ElementKind.DIODE, "A", "K", DIODE)
        terminals = (Terminal("K", "cathode, to lock +", "+"), Terminal("A", "anode, to lock -", "-"))
    else:
        element = Element("suppressor", ElementKind.SUPPRESSOR, "1", "2", {"v_clamp_v": part.clamp_v or 47.0})
        terminals = (Terminal("1"), Terminal("2"))
    title = part.title if part and part.title else "Flyback diode"
    return Component(ref, title, terminals, (element,), part.id if part else "", place="at the lock")


def door_contact(part: Contact, ref: str) -> Component:
    """A door position switch: closed while the door is closed."""
    return Component(
        ref, part.title or "Door position switch", (Terminal("1"), Terminal("2")),
        (_contact("contact", "1", "2", f"{ref}.open", closed=True),), part.id, place="door head, latch side",
    )  # fmt: skip


def rex_sensor(part: RexSensor, ref: str = "B2", *, breaks: bool = False) -> Component:
    """A REX sensor: its NO contact closes on motion and, where the part is made so, when it loses its supply.

    `breaks`: a second pole C2 NC2 opens at the same time, in the lock's feed.
    """
    contact_terminals: tuple[Terminal, ...] = (Terminal("C", "common"), Terminal("NO", "closes on motion"))
    title = part.title or "REX sensor"
    place = "above header, egress side"
    if not part.draw_a:
        contact = _contact("contact", "C", "NO", f"{ref}.motion", closed=False)
        return Component(ref, title, contact_terminals, (contact,), part.id, place=place)
    supply = (Terminal("+", "supply", "+"), Terminal("-", "supply", "-"))
    rated_v = part.rated_v or 12.0
    if part.releases_on_loss:
        # The relay inside is held while idle; motion or a lost supply lets it go, which closes NO at the terminals.
        elements: tuple[Element, ...] = (
            _contact("sense", "+", "_held", f"{ref}.motion", closed=True),
            Element(
                "relay", ElementKind.COIL, "_held", "-",
                {"r_ohm": rated_v / part.draw_a, "v_pull_in_v": 0.7 * rated_v, "v_drop_out_v": 0.2 * rated_v},
            ),
            _contact("contact", "C", "NO", f"{ref}.relay", closed=True),
        )  # fmt: skip
        if breaks:
            contact_terminals += (Terminal("C2", "lock power"), Terminal("NC2", "lock power, opens on motion"))
            elements += (_contact("break", "C2", "NC2", f"{ref}.relay", closed=False),)
    else:
        elements = (
            Element("supply", ElementKind.CURRENT_LOAD, "+", "-", {"i_a": part.draw_a, "v_min_v": 1.0}),
            _contact("contact", "C", "NO", f"{ref}.motion", closed=False),
        )
    return Component(ref, title, supply + contact_terminals, tuple(elements), part.id, place=place)


def auxiliary_contact(ref: str = "B2") -> Component:
    """A normally open contact of someone else's equipment on the second input, such as an intercom's."""
    return Component(
        ref, "Auxiliary contact, by others", (Terminal("1"), Terminal("2")),
        (_contact("contact", "1", "2", f"{ref}.active", closed=False),), place="by others",
    )  # fmt: skip


def reader(part: Reader, ref: str, *, outside: bool) -> Component:
    """A reader on the controller's bus, fed from its auxiliary output."""
    draw = Element("supply", ElementKind.CURRENT_LOAD, "+", "-", {"i_a": part.draw_a or 0.0, "v_min_v": 1.0})
    terminals = (
        Terminal("+", "supply", "+"), Terminal("-", "supply", "-"), Terminal("B1", "bus"), Terminal("B2", "bus"),
    )  # fmt: skip
    title = part.title or ("Reader, entry side" if outside else "Reader, exit side")
    place = "unsecured side" if outside else "secured side"
    return Component(ref, title, terminals, (draw,), part.id, exposed=outside, place=place)


def release_button(part: ReleaseButton, ref: str = "S1") -> Component:
    """A manual release: pole 11-12 breaks lock power itself, pole 23-24 tells the controller."""
    terminals = [Terminal("11", "lock power"), Terminal("12", "lock power")]
    elements = [_contact("break", "11", "12", f"{ref}.pressed", closed=True)]
    if (part.poles or 1) >= 2:
        terminals += [Terminal("23", "to input"), Terminal("24", "to input")]
        elements.append(_contact("tell", "23", "24", f"{ref}.pressed", closed=False))
    place = "secured side, beside the door"
    return Component(ref, part.title or "Manual release", tuple(terminals), tuple(elements), part.id, place=place)


def fire_relay(part: FireRelay | None, ref: str = "K3") -> Component:
    """The fire alarm system's contact: opens in alarm."""
    return Component(
        ref, part.title if part and part.title else "Fire alarm relay", (Terminal("C"), Terminal("NC", "opens in alarm")),
        (_contact("contact", "C", "NC", f"{ref}.alarm", closed=True),), part.id if part else "", place="by fire alarm",
    )  # fmt: skip


def dc_supply(part: DcSupply, ref: str, place: str) -> Component:
    """A DC supply: alive while either its mains or, where it has one, its battery is there."""
    nominal = part.output_v or 12.0
    tolerance = part.tolerance or 0.0
    volts = (nominal, part.end_v or nominal * (1 - tolerance), part.float_v or nominal * (1 + tolerance))
    elements = [
        source("output", "_source", "S-", volts, part.output_a, part.source_ohm or SOURCE_OHM),
        _contact("mains", "_source", "S+", f"{ref}.mains_lost", closed=True),
    ]
    if part.battery_ah:
        elements.append(_contact("battery", "_source", "S+", f"{ref}.battery_lost", closed=True))
    terminals = (Terminal("S+", "output", "+"), Terminal("S-", "output", "-"))
    return Component(ref, part.title or "DC supply", terminals, tuple(elements), part.id, place=place)


def splitter(part: Splitter, ref: str = "T1") -> Component:
    """A PoE splitter: 12 V from the data cable, alive while the port feeds it."""
    volts = toleranced(part.output_v or 12.0, part.output_tolerance)
    terminals = (Terminal("J1", "network in"), Terminal("J2", "network out"), Terminal("P+", "12 V out", "+"),
                 Terminal("P-", "12 V out", "-"))  # fmt: skip
    elements = (
        source("output", "_source", "P-", volts, part.output_a),
        _contact("feed", "_source", "P+", "N1.power_lost", closed=True),
    )
    return Component(ref, part.title or "PoE splitter", terminals, elements, part.id, place="secured side")
