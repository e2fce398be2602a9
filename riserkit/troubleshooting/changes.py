"""What a fault makes of a netlist: changes that can be put one after the other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf
from typing import Protocol

from riserkit.circuits.faults import R_SHORT_OHM
from riserkit.circuits.miswirings import Miswiring, miswired
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist
from riserkit.wiring.roles import ElementRole


class FaultChange(Protocol):
    """Makes another netlist of one; equal changes make the same."""

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist with the fault; CircuitError where it has not what is at fault."""
        ...


Way = tuple[FaultChange, ...]
"""Faults that are there together, one put after the other."""


@dataclass(frozen=True, slots=True)
class Wired:
    """Wired otherwise than meant."""

    miswiring: Miswiring

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist so wired."""
        return miswired(netlist, self.miswiring)


@dataclass(frozen=True, slots=True)
class Touching:
    """Two terminals or inner nodes that touch, `component.terminal`: a short, a contact that sticks closed."""

    a: str
    b: str

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist with a link between them."""
        a, b = (Landing(*name.split(".", 1)) for name in (self.a, self.b))
        link = Conductor(f"{self.a}~{self.b}", a, b, "", "", R_SHORT_OHM)
        return replace(netlist, conductors=(*netlist.conductors, link))


_NOTHING: Mapping[ElementKind, Mapping[str, float]] = {
    ElementKind.CONTACT: {"r_closed_ohm": inf},
    ElementKind.SOURCE: {"r_ohm": inf},
    ElementKind.COIL: {"r_ohm": inf, "r_hold_ohm": inf, "v_pull_in_v": inf, "v_drop_out_v": inf},
    ElementKind.CURRENT_LOAD: {"i_a": 0.0, "v_pull_in_v": inf, "v_drop_out_v": inf},
    ElementKind.POWER_LOAD: {"p_w": 0.0, "v_pull_in_v": inf, "v_drop_out_v": inf},
}
"""Values with which an element passes nothing and moves nothing. Only values change, so that all faults share a structure."""


@dataclass(frozen=True, slots=True)
class Without:
    """Elements that no longer do anything, `component.element`: a coil burnt out, a contact that stays open, a supply that is dead."""

    names: frozenset[str]

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist without them."""
        return changed(netlist, self._dead)

    def of(self, component: Component) -> Component:
        """A component without them."""
        return component_changed(component, self._dead)

    def _dead(self, ref: str, element: Element) -> Element:
        if f"{ref}.{element.name}" not in self.names:
            return element
        nothing = _NOTHING[element.kind]
        if "r_hold_ohm" not in element.values:
            nothing = {name: value for name, value in nothing.items() if name != "r_hold_ohm"}
        return replace(element, values={**element.values, **nothing})


@dataclass(frozen=True, slots=True)
class OtherVoltage:
    """A source with another voltage than stated, by this factor."""

    name: str
    factor: float

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist with that source."""

        def scaled(ref: str, element: Element) -> Element:
            if f"{ref}.{element.name}" != self.name:
                return element
            values = {k: v * self.factor if k.endswith("_v") else v for k, v in element.values.items()}
            return replace(element, values=values)

        return changed(netlist, scaled)


@dataclass(frozen=True, slots=True)
class SetOtherwise:
    """A controller set the other way round: what it commands is on where it should be off, and off where it should be on."""

    command: str

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist with everything that is so commanded turned over."""

        def turned(_: str, element: Element) -> Element:
            if element.control != self.command:
                return element
            return replace(element, normally_closed=not element.normally_closed)

        return changed(netlist, turned)


@dataclass(frozen=True, slots=True)
class OtherCoil:
    """A coil for another voltage than stated, by this factor, that draws the same power at its own."""

    name: str
    factor: float

    def __call__(self, netlist: Netlist) -> Netlist:
        """The netlist with that coil."""
        by = {
            "r_ohm": self.factor**2,
            "r_hold_ohm": self.factor**2,
            "v_pull_in_v": self.factor,
            "v_drop_out_v": self.factor,
        }

        def other(ref: str, element: Element) -> Element:
            if f"{ref}.{element.name}" != self.name:
                return element
            return replace(element, values={k: v * by.get(k, 1.0) for k, v in element.values.items()})

        return changed(netlist, other)


def changed(netlist: Netlist, change: Callable[[str, Element], Element]) -> Netlist:
    """A netlist whose elements are changed one by one; `change` gets the component's designation too."""
    components = tuple(component_changed(one, change) for one in netlist.components)
    if all(new is old for new, old in zip(components, netlist.components, strict=True)):
        return netlist
    return replace(netlist, components=components)


def component_changed(component: Component, change: Callable[[str, Element], Element]) -> Component:
    """A component whose elements are changed one by one."""
    new = [change(component.ref, e) for e in component.elements]
    if all(one is old for one, old in zip(new, component.elements, strict=True)):
        return component
    return replace(component, elements=tuple(new))


COIL_TOLERANCE = 0.1
"""Of a coil's resistance (common practice, no source)."""

LEAST_DRAW = 0.5
"""Of the current that electronics are stated to draw: the statement is the most (common practice, no source)."""

SOURCE_TOLERANCE = 0.1
"""Of a source that states one voltage only, as that behind an input (common practice, no source)."""

SUPPLY_ROLES = (ElementRole.SUPPLY_OUTPUT, ElementRole.SPLITTER_OUTPUT)
"""Sources outside the controller, whose voltage goes its own way."""


class VoltageEnd(StrEnum):
    """Which end of its voltage a source is at, beside the level that is solved for."""

    SAME = "same"
    OPPOSITE = "opposite"
    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class PartsMade:
    """How parts are made within their tolerance.

    Args:
        most: parts other than locks draw the most that they may, else the least.
        locks: locks do; one in series with something else has the highest voltage where that draws most and it least.
        inputs: sources that state one voltage only, as those behind inputs.
        supplies: sources outside the controller.
    """

    most: bool
    locks: bool
    inputs: VoltageEnd
    supplies: VoltageEnd = VoltageEnd.SAME


def ways_made(netlist: Netlist) -> tuple[PartsMade, ...]:
    """Ways that, solved at low and at high level, meet every pair of ends of draw, locks, controller, inputs and supplies.

    Orthogonal arrays of strength 2, but that with supplies outside locks and inputs go together, which no circuit joins
    (R. L. Plackett and J. P. Burman 1946).
    """
    if not netlist.elements(*SUPPLY_ROLES):
        return tuple(
            PartsMade(most, locks, VoltageEnd.OPPOSITE if most is locks else VoltageEnd.SAME)
            for most in (True, False)
            for locks in (True, False)
        )
    return tuple(
        PartsMade(
            most,
            most is opposite,
            VoltageEnd.LOW if most is opposite else VoltageEnd.HIGH,
            VoltageEnd.OPPOSITE if opposite else VoltageEnd.SAME,
        )
        for most in (True, False)
        for opposite in (True, False)
    )


def component_made(component: Component, made: PartsMade) -> Component:
    """A component with its parts so made."""

    def of(_: str, element: Element) -> Element:
        v = element.values
        match element.kind:
            case ElementKind.COIL:
                draws_most = made.locks if element.role == ElementRole.LOCK_COIL else made.most
                by = 1.0 - COIL_TOLERANCE if draws_most else 1.0 + COIL_TOLERANCE
                return replace(element, values={k: x * by if k in {"r_ohm", "r_hold_ohm"} else x for k, x in v.items()})
            case ElementKind.CURRENT_LOAD | ElementKind.POWER_LOAD if not made.most:
                return replace(element, values={k: x * LEAST_DRAW if k in {"i_a", "p_w"} else x for k, x in v.items()})
            case ElementKind.SOURCE if v.get("v_low_v", v["v_nominal_v"]) == v.get("v_high_v", v["v_nominal_v"]):
                low_v, high_v = (v["v_nominal_v"] * (1.0 + sign * SOURCE_TOLERANCE) for sign in (-1.0, 1.0))
                return replace(element, values=_ended({**v, "v_low_v": low_v, "v_high_v": high_v}, made.inputs))
            case ElementKind.SOURCE if element.role in SUPPLY_ROLES:
                return replace(element, values=_ended(v, made.supplies))
        return element

    return component_changed(component, of)


def _ended(values: Mapping[str, float], ends: VoltageEnd) -> Mapping[str, float]:
    """A source's lowest and highest voltage, on mains and on battery, so that they come out at this end."""
    found = dict(values)
    for prefix in ("v", "float"):
        low, high = f"{prefix}_low_v", f"{prefix}_high_v"
        if low in values and high in values:
            pair = values[low], values[high]
            found[low] = pair[1] if ends in {VoltageEnd.OPPOSITE, VoltageEnd.HIGH} else pair[0]
            found[high] = pair[0] if ends in {VoltageEnd.OPPOSITE, VoltageEnd.LOW} else pair[1]
    return found
