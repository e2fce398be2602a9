"""How the numbers of a door come about: formula, inputs with their sources, result. Nothing is computed here.

Results are the solver's, of the whole netlist; a formula says which law they follow where the circuit is one loop.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import isnan
from typing import Final

from riserkit.circuits.netlist import Component, Element, ElementKind
from riserkit.design import Design, DoorDesign
from riserkit.model.parts import Controller, Lock, Splitter
from riserkit.page.loop import Loop, loop_of
from riserkit.page.values import CalculationStep
from riserkit.quantities.printed import UnitSystem, format_length, format_pair, format_value, upper_first
from riserkit.standards.copper import TEMPERATURE_COEFFICIENT_20C_PER_K, resistance_source
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.devices import feed_of_node, powered_devices
from riserkit.wiring.reason import Reason

Input = tuple[str, str, str]
_RESULTS: Final = {True: "pass", False: "FAIL", None: "not evaluated"}
_DROP: Final = (
    "U = U(source) - I x [R(source) + sum of R(conductors) + sum of R(contacts)], R = R20 x [1 + a x (t - 20 °C)]"
)
_OFF: Final = "U = largest voltage at the lock with the controller's command the other way round"
_SUM: Final = "I = largest sum of the currents of all that hangs on it, over all states"
_THROUGH: Final = "I = largest sum of the currents of all locks behind the contact"
_ACROSS: Final = "U = highest voltage of the source behind the contact"
_DEVICE: Final = "P = P(own) + sum of U x I passed on / efficiency"
_LINK: Final = (
    "I = [U(port) - sqrt(U(port)^2 - 4 x R x P)] / (2 x R); U(device) = U(port) - R x I; P(port) = U(port) x I"
)
_LENGTH: Final = "channel = permanent link + cords"


def calculation(design: Design, door: DoorDesign) -> tuple[CalculationStep, ...]:
    """Every number of a door's wiring and PoE cable that has a limit."""
    return (*_wiring_steps(design, door), *_link_steps(design, door))


def _wiring_steps(design: Design, door: DoorDesign) -> Iterator[CalculationStep]:
    candidate, circuit = door.wiring.drawn, door.wiring.circuit
    if candidate is None or circuit is None:
        return
    inputs = _Inputs(design, circuit)
    for reason in candidate.reasons:
        if reason.unit:
            formula, few = inputs.of(reason)
            yield _step(reason, formula, few, design.site.info.unit_system)


def _step(reason: Reason, formula: str, inputs: Sequence[Input], units: UnitSystem) -> CalculationStep:
    what, sign = upper_first(reason.what), "at most" if reason.at_most else "at least"
    result, limit = reason.why or "not known", "not known"
    if reason.value is not None and reason.limit is not None:
        result, limit = format_pair(reason.value, reason.limit, reason.unit, units)
    elif reason.value is not None:
        result = format_value(reason.value, reason.unit, units)
    elif reason.limit is not None:
        limit = format_value(reason.limit, reason.unit, units)
    return CalculationStep(what, formula, tuple(inputs), result, f"{sign} {limit}", _RESULTS[reason.passed])


class _Inputs:
    """What goes into each test of a circuit."""

    def __init__(self, design: Design, circuit: DoorCircuit) -> None:
        self._design, self._circuit, self._netlist = design, circuit, circuit.netlist
        self._units: UnitSystem = design.site.info.unit_system
        self._components = {component.ref: component for component in circuit.netlist.components}
        by_name: Mapping[str, tuple[str, Callable[[Reason], Iterator[Input]]]] = {
            "lock-voltage-low": (_DROP, self._lock), "lock-voltage-high": (_DROP, self._lock), "lock-off": (_OFF, lambda _: self._locks()),
            "device-voltage-low": (_DROP, self._device), "device-voltage-high": (_DROP, self._device),
            "output-limit": (_SUM, lambda _: self._loads(circuit.output)),
            "auxiliary-limit": (_SUM, lambda _: self._loads(circuit.auxiliary)),
            "supply-limit": (_SUM, lambda _: self._loads(circuit.supply)),
            "class-power": (_DEVICE, lambda _: self._powered()),
        }  # fmt: skip
        self._by_name = by_name

    def of(self, reason: Reason) -> tuple[str, tuple[Input, ...]]:
        """The formula of a test, and its inputs."""
        if reason.name in self._by_name:
            formula, read = self._by_name[reason.name]
            return formula, tuple(read(reason))
        if reason.name.endswith("contact-voltage"):
            return _ACROSS, ()
        return (_THROUGH, tuple(self._locks())) if reason.name.endswith("contact") else ("", ())

    def _lock(self, _reason: Reason) -> Iterator[Input]:
        for ref in self._circuit.locks:
            yield from self._along(loop_of(self._netlist, f"{ref}.+", f"{ref}.-"))
        yield from self._locks()

    def _device(self, reason: Reason) -> Iterator[Input]:
        for device in powered_devices(self._netlist, self._design.site.part):
            if f"voltage at {device.ref}, {device.what}" in reason.what:
                yield from self._along(loop_of(self._netlist, device.plus, device.minus))
                yield from self._draws(self._components[device.ref])

    def _along(self, loop: Loop | None) -> Iterator[Input]:
        """Source, conductors and contacts of a loop."""
        if loop is None:
            return
        source = loop.source
        values, part = source.element.values, f"part {source.component.part}" if source.component.part else "netlist"
        low, high = (_stated(values[name], "V") for name in ("v_low_v", "v_high_v"))
        yield f"U(source) {source.component.ref}, lowest to highest", f"{low} to {high}", part
        yield "R(source)", _ohms(values.get("r_ohm", 0.0)), part
        for cable, few in loop.by_cable.items():
            kind = next((c for c in self._netlist.cables if c.ref == cable), None)
            each = ", ".join(dict.fromkeys(_ohms(c.r20_ohm) for c in few))
            words = f"{few[0].gauge}, {len(few)} in the loop"
            if kind is None:
                yield f"R20 of leads, {words}", f"{each} each", "lead of a device"
                continue
            length = f"{format_length(kind.length_m, self._units)} {kind.length_basis}"
            origin = resistance_source(few[0].gauge, kind.stranding).cite()
            yield f"R20 of conductors in {cable}, {length}, {words}", f"{each} each", origin
        if loop.contacts:
            total = sum(e.values.get("r_closed_ohm", 0.0) for e in loop.contacts)
            yield f"R(contacts), {len(loop.contacts)} closed in the loop", f"{_ohms(total)} together", "parts"
        info = self._design.site.info
        cold, hot = (format_value(t, "°C", self._units) for t in (info.coldest_c, info.pathway_c))
        yield "t, coldest to hottest", f"{cold} to {hot}", "site"
        yield "a", f"{TEMPERATURE_COEFFICIENT_20C_PER_K} per K", "copper, NBS Handbook 100"

    def _locks(self) -> Iterator[Input]:
        for ref in self._circuit.locks:
            yield from self._draws(self._components[ref])

    def _draws(self, component: Component) -> Iterator[Input]:
        part = self._design.site.part.get(component.part)
        for element in component.elements:
            text = _load(element)
            if text:
                yield (
                    f"{component.ref} {component.title}",
                    text,
                    f"part {component.part}" if component.part else "netlist",
                )
        if isinstance(part, Lock) and part.rated_v is not None:
            yield f"{component.ref} rated voltage", format_value(part.rated_v, "V"), f"part {part.id}"
            if part.tolerance_low is not None and part.tolerance_high is not None:
                band = f"-{100 * part.tolerance_low:g} % to +{100 * part.tolerance_high:g} %"
                yield f"{component.ref} tolerance", band, f"part {part.id}"

    def _loads(self, source: str) -> Iterator[Input]:
        """All that hangs on a source."""
        ref, _, name = source.partition(".")
        if ref in self._components:
            element = next((e for e in self._components[ref].elements if e.name == name), None)
            if element is not None:
                part = f"part {self._components[ref].part}"
                yield f"U({ref}), highest", _stated(element.values["v_high_v"], "V"), part
        ends = [(lock, f"{lock}.+") for lock in self._circuit.locks]
        ends += [(device.ref, device.plus) for device in powered_devices(self._netlist, self._design.site.part)]
        for load, plus in dict(ends).items():
            feed = feed_of_node(self._netlist, plus)
            if feed is not None and feed.source == source:
                yield from self._draws(self._components[load])

    def _powered(self) -> Iterator[Input]:
        for component in self._netlist.components:
            part = self._design.site.part.get(component.part)
            efficiency = None
            if isinstance(part, Controller):
                efficiency = part.converter_efficiency
            elif isinstance(part, Splitter):
                efficiency = part.efficiency
            if isinstance(part, Controller | Splitter):
                own = "not stated" if part.own_w is None else format_value(part.own_w, "W")
                yield f"P(own) of {component.ref}", own, f"part {part.id}"
                shown = "not stated" if efficiency is None else f"{100 * efficiency:g} %"
                yield f"efficiency of {component.ref}", shown, f"part {part.id}"


def _load(element: Element) -> str:
    values = element.values
    if element.kind is ElementKind.COIL and "r_hold_ohm" in values:
        return f"{_ohms(values['r_ohm'])} at pick-up, {_ohms(values['r_hold_ohm'])} holding"
    if element.kind in (ElementKind.COIL, ElementKind.RESISTOR):
        return _ohms(values["r_ohm"])
    if element.kind is ElementKind.CURRENT_LOAD:
        return _stated(values["i_a"], "A")
    return _stated(values["p_w"], "W") if element.kind is ElementKind.POWER_LOAD else ""


def _stated(value: float, unit: str) -> str:
    """A part that does not state a value has none in its model."""
    return "not stated" if isnan(value) else format_value(value, unit)


def _ohms(value: float) -> str:
    return "not stated" if isnan(value) else f"{value:.3g} ohm"


def _link_steps(design: Design, door: DoorDesign) -> Iterator[CalculationStep]:
    link, units = door.link, design.site.info.unit_system
    route = door.cable.route if door.cable else None
    if link is not None:
        need = "not known" if link.pd_need_w is None else f"{link.pd_need_w:.2f} W"
        inputs = (
            ("U(port), lowest of the class granted", f"{link.pse_min_v:g} V", "IEEE 802.3, class of the port"),
            (
                "R, loop over the powered pairs",
                f"{link.loop_ohm:.3f} ohm",
                "length, gauge and temperature of the channel",
            ),
            ("t of the cable, bundle included", format_value(link.temperature_c, "°C", units), "pathway and bundle"),
            ("P, needed at the device", need, "calculation of the wiring"),
        )
        result = "not known"
        if link.current_a is not None and link.pd_v is not None and link.pse_w is not None:
            result = f"I {link.current_a:.3f} A, U(device) {link.pd_v:.1f} V, P(port) {link.pse_w:.2f} W"
        limit = f"at most {link.pd_limit_w:.2f} W arrive at the device, {link.pse_max_w:g} W at the port"
        yield CalculationStep("Power over the PoE cable", _LINK, inputs, result, limit)
        cords = (("permanent link", "not known" if route is None else format_length(route.length_m, units),
                  "" if route is None else str(route.basis)),)  # fmt: skip
        yield CalculationStep("Channel with cords", _LENGTH, cords, format_length(link.length_m, units))
