"""Controllers as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import (
    Controller,
)
from riserkit.standards.door_devices import (
    BOND_OHM,
    INPUT_OPEN_V,
    INPUT_PULL_UP_OHM,
)
from riserkit.wiring.parts.electrical import contact, source, stated, toleranced
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def controller(part: Controller, *, outside: bool, fed_from_network: bool = True) -> Component:
    """The controller: lock output L, auxiliary output A, inputs DOOR and REQ with return IC, module link LKA LKB, bus."""
    volts = toleranced(part.output_v, part.output_tolerance)
    auxiliary = toleranced(part.auxiliary_v, part.output_tolerance)
    names = [("J", "network", ""), ("L+", "lock output", "+"), ("L-", "lock output", "-"), ("A+", "auxiliary 12 V", "+"),
             ("A-", "auxiliary 12 V", "-"), ("DOOR", "door input", ""), ("REQ", "REX/AUX input", ""),
             ("IC", "input return", "-")]  # fmt: skip
    if part.module_link:
        names += [("LKA", "module link", ""), ("LKB", "module link", "")]
    if part.reader_bus:
        names += [("BUSA", "reader bus", ""), ("BUSB", "reader bus", "")]
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
        for name, role in (("DOOR", ElementRole.DOOR_INPUT), ("REQ", ElementRole.REQUEST_INPUT))
    )  # fmt: skip
