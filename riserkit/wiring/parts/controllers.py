"""Controllers as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import Controller
from riserkit.standards.door_devices import (
    BOND_OHM,
    INPUT_OPEN_V,
    INPUT_PULL_UP_OHM,
    OUTPUT_RELAY_OHM,
    OUTPUT_RELAY_PULL_IN,
    RELAY_DROP_OUT,
)
from riserkit.wiring.parts.electrical import coil_values, contact, source, stated, toleranced
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

_CONTACTS = (
    Terminal("C", "lock output, common"), Terminal("NO", "lock output, closes when energised"),
    Terminal("NC", "lock output, opens when energised"),
)  # fmt: skip


def controller(part: Controller, *, outside: bool, fed_from_network: bool = True) -> Component:
    """The controller: lock output, auxiliary output A, inputs DOOR and REQ with return IC, module link LKA LKB, bus.

    A powered lock output has the terminals L+ and L-, a dry one C, NO and NC.
    """
    return Component(
        "K1", part.title or "Door controller", _terminals(part), tuple(_elements(part, fed_from_network)), part.id,
        exposed=outside, place="unsecured side" if outside else "secured side", role=DeviceRole.CONTROLLER,
        states=(OutsideState("output", StateRole.COMMAND),),
    )  # fmt: skip


def _terminals(part: Controller) -> tuple[Terminal, ...]:
    powered = (Terminal("L+", "lock output", "+"), Terminal("L-", "lock output", "-"))
    volts = "output" if part.auxiliary_v is None else f"{part.auxiliary_v:g} V"
    names = [
        Terminal("J", "network"), *(_CONTACTS if part.is_dry else powered), Terminal("A+", f"auxiliary {volts}", "+"),
        Terminal("A-", f"auxiliary {volts}", "-"), Terminal("DOOR", "door input"), Terminal("REQ", "REX/AUX input"),
        Terminal("IC", "input return", "-"),
    ]  # fmt: skip
    if part.module_link:
        names += [Terminal("LKA", "module link"), Terminal("LKB", "module link")]
    if part.reader_bus:
        names += [Terminal("BUSA", "reader bus"), Terminal("BUSB", "reader bus")]
    return tuple(names)


def _elements(part: Controller, fed_from_network: bool) -> Iterator[Element]:
    auxiliary = toleranced(part.auxiliary_v, part.output_tolerance)
    yield from _inputs(INPUT_OPEN_V.value if part.input_v is None else part.input_v)
    yield from _dry_output(part, fed_from_network) if part.is_dry else _powered_output(part, fed_from_network)
    if fed_from_network:
        yield source("auxiliary_rail", "_aux", "A-", auxiliary, part.auxiliary_limit_a, ElementRole.AUXILIARY_SUPPLY)
        yield contact("auxiliary_feed", "_aux", "A+", "N1.power_lost", ElementRole.AUXILIARY_FEED, closed=True)
    else:
        load = {"p_w": stated(part.own_w)}
        yield Element("own_load", ElementKind.POWER_LOAD, "A+", "A-", load, role=ElementRole.CONTROLLER_LOAD)
    if not part.is_dry:
        yield _bond("bond", "L-", "A-", ElementRole.LOCK_OUTPUT_RETURN)
    yield _bond("input_bond", "A-", "IC", ElementRole.INPUT_RETURN)


def _powered_output(part: Controller, fed_from_network: bool) -> Iterator[Element]:
    """A solid-state switch, from a rail of its own or from what feeds the controller at A+."""
    if not fed_from_network:
        yield contact("output", "A+", "L+", "K1.output", ElementRole.LOCK_OUTPUT, closed=False)
        return
    volts = toleranced(part.output_v, part.output_tolerance)
    yield source("lock_rail", "_lock", "L-", volts, part.output_limit_a, ElementRole.LOCK_OUTPUT_SUPPLY)
    yield contact("lock_feed", "_lock", "_switch", "N1.power_lost", ElementRole.LOCK_OUTPUT_FEED, closed=True)
    yield contact("output", "_switch", "L+", "K1.output", ElementRole.LOCK_OUTPUT, closed=False)


def _dry_output(part: Controller, fed_from_network: bool) -> Iterator[Element]:
    """A relay inside: without the controller's power, as without its command, the contacts stand at rest."""
    volts = toleranced(part.auxiliary_v, part.output_tolerance)
    plus = "A+"
    if fed_from_network:
        plus = "_driven"
        yield source("relay_rail", "_relay", "A-", volts, None, ElementRole.LOCK_OUTPUT_SUPPLY)
        yield contact("relay_feed", "_relay", plus, "N1.power_lost", ElementRole.LOCK_OUTPUT_FEED, closed=True)
    yield contact("output", plus, "_told", "K1.output", ElementRole.OUTPUT_COMMAND, closed=False)
    pull_in_v = OUTPUT_RELAY_PULL_IN.value * volts[0]
    coil = coil_values(volts[0], volts[0] / OUTPUT_RELAY_OHM.value, pull_in_v, None, RELAY_DROP_OUT.value)
    yield Element("relay", ElementKind.COIL, "_told", "A-", coil, role=ElementRole.OUTPUT_COIL)
    ohm = part.contact_ohm
    yield contact("no", "C", "NO", "K1.relay", ElementRole.OUTPUT_NO, closed=False, ohm=ohm)
    yield contact("nc", "C", "NC", "K1.relay", ElementRole.OUTPUT_NC, closed=True, ohm=ohm)


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
