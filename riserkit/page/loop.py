"""The loop that a device hangs on: from its plus to a source and back from the source to its minus."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Netlist


@dataclass(frozen=True, slots=True)
class LoopSource:
    """A source with the component that it is in."""

    component: Component
    element: Element


@dataclass(frozen=True, slots=True)
class Loop:
    """Source, conductors and contacts, each once."""

    source: LoopSource
    conductors: tuple[Conductor, ...]
    contacts: tuple[Element, ...]

    @property
    def by_cable(self) -> Mapping[str, tuple[Conductor, ...]]:
        """Conductors by cable; leads, which are in none, come under an empty name."""
        found: dict[str, list[Conductor]] = {}
        for conductor in self.conductors:
            found.setdefault(conductor.cable, []).append(conductor)
        return {cable: tuple(few) for cable, few in found.items()}


_Step = tuple[str, Conductor | Element]


def loop_of(netlist: Netlist, plus: str, minus: str) -> Loop | None:
    """The shortest way over conductors and contacts that any state may close.

    Args:
        netlist: of the door.
        plus: `component.terminal` of the device's plus.
        minus: of its minus.

    Returns:
        None where no source feeds it.
    """
    beyond = _ways(netlist)
    sources = {
        f"{component.ref}.{element.a}": LoopSource(component, element)
        for component in netlist.components
        for element in component.elements
        if element.kind is ElementKind.SOURCE
    }
    out = _way(beyond, plus, set(sources))
    if out is None:
        return None
    at, there = out
    source = sources[at]
    back = _way(beyond, f"{source.component.ref}.{source.element.b}", {minus})
    if back is None:
        return None
    steps = [*there, *back[1]]
    return Loop(
        source,
        tuple(step for step in steps if isinstance(step, Conductor)),
        tuple(step for step in steps if isinstance(step, Element)),
    )


def _ways(netlist: Netlist) -> Mapping[str, list[_Step]]:
    found: dict[str, list[_Step]] = {}

    def join(a: str, b: str, step: Conductor | Element) -> None:
        found.setdefault(a, []).append((b, step))
        found.setdefault(b, []).append((a, step))

    for conductor in netlist.conductors:
        join(str(conductor.a), str(conductor.b), conductor)
    for component in netlist.components:
        for element in component.elements:
            if element.kind is ElementKind.CONTACT or _is_bond(element):
                join(f"{component.ref}.{element.a}", f"{component.ref}.{element.b}", element)
    return found


def _is_bond(element: Element) -> bool:
    """A resistor that joins terminals within a device, not a load."""
    return element.kind is ElementKind.RESISTOR and element.values.get("r_ohm", 1.0) < 1.0


def _way(
    beyond: Mapping[str, list[_Step]], start: str, goals: set[str]
) -> tuple[str, tuple[Conductor | Element, ...]] | None:
    came: dict[str, _Step | None] = {start: None}
    waiting = [start]
    while waiting:
        at = waiting.pop(0)
        if at in goals:
            return at, tuple(reversed(list(_back(came, at))))
        for other, step in beyond.get(at, ()):
            if other not in came:
                came[other] = (at, step)
                waiting.append(other)
    return None


def _back(came: Mapping[str, _Step | None], at: str) -> Iterator[Conductor | Element]:
    step = came[at]
    while step is not None:
        yield step[1]
        step = came[step[0]]
