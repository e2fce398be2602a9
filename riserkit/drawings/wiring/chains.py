"""What is shown inside a device: its contacts, coils, diodes and sources as chains of symbols between two terminals.

The electrical model of a component holds more than a crew needs to see. Left out are resistors, loads, the sources
that only sense an input, and contacts that stand for a lost supply; what hangs on them is drawn as if joined.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from riserkit.circuits.netlist import Component, Element, ElementKind
from riserkit.wiring.roles import FEEDS, ElementRole

_SHOWN: Final = frozenset(
    {ElementKind.CONTACT, ElementKind.COIL, ElementKind.DIODE, ElementKind.SUPPRESSOR, ElementKind.SOURCE}
)
# A source behind more than this senses an input; it feeds nothing.
_SENSING_OHM: Final = 500.0


@dataclass(frozen=True, slots=True)
class ChainLink:
    """One symbol of a chain. `forward` is True when the chain runs from the element's `a` to its `b`.

    `normally_closed`: drawn as a break contact: closed with nobody near and nothing pressed. A relay inside a sensor is
    held by its supply then, so that its contacts are drawn the other way round than those of a relay without power.
    """

    name: str
    kind: ElementKind
    normally_closed: bool
    forward: bool


@dataclass(frozen=True, slots=True)
class Chain:
    """Symbols in series from terminal `a` to terminal `b`, at least one."""

    a: str
    b: str
    links: tuple[ChainLink, ...]


def _is_joined(element: Element) -> bool:
    return element.kind is ElementKind.CONTACT and element.role in FEEDS


def is_shown(element: Element) -> bool:
    """Whether a symbol stands for it in the diagram."""
    if element.kind is ElementKind.SOURCE and element.values.get("r_ohm", 0.0) >= _SENSING_OHM:
        return False
    return element.kind in _SHOWN and not _is_joined(element)


def _joined_nodes(component: Component) -> dict[str, str]:
    """Each node's representative once contacts that stand for a lost supply are taken as wire; a terminal if any."""
    names = {t.name for t in component.terminals}
    node = {n: n for e in component.elements for n in (e.a, e.b)} | {n: n for n in names}
    for element in filter(_is_joined, component.elements):
        keep, drop = sorted((node[element.a], node[element.b]), key=lambda n: (n not in names, n))
        node = {n: keep if r == drop else r for n, r in node.items()}
    return node


def chains(component: Component) -> tuple[Chain, ...]:
    """The chains of symbols inside a component, in the order of its elements.

    An inner node where more than two shown elements meet ends a chain; a chain that does not reach a terminal at both
    ends is left out, for it could not be drawn truly.
    """
    return _chains(component.terminals, component.elements)


@lru_cache(maxsize=4096)
def _chains(terminals: Sequence[object], elements: tuple[Element, ...]) -> tuple[Chain, ...]:
    component = Component("", "", tuple(terminals), elements)  # type: ignore[arg-type]
    names = {t.name for t in component.terminals}
    node = _joined_nodes(component)
    shown = [e for e in elements if is_shown(e) and node[e.a] != node[e.b]]
    found: list[Chain] = []
    used: set[str] = set()
    held = frozenset(e.name for e in elements if e.role == ElementRole.SENSOR_RELAY)
    for element in shown:
        if element.name not in used:
            chain = _grow(element, shown, node, names, held)
            used.update(link.name for link in chain.links)
            if chain.a in names and chain.b in names and chain.a != chain.b:
                found.append(chain)
    return tuple(found)


def _grow(
    element: Element, shown: Sequence[Element], node: dict[str, str], names: set[str], held: frozenset[str]
) -> Chain:
    links = [_link(element, held, forward=True)]
    a, b = node[element.a], node[element.b]
    used = {element.name}
    while b not in names and (more := _only_other(b, shown, node, used)):
        forward = node[more.a] == b
        links.append(_link(more, held, forward=forward))
        used.add(more.name)
        b = node[more.b] if forward else node[more.a]
    while a not in names and (more := _only_other(a, shown, node, used)):
        forward = node[more.b] == a
        links.insert(0, _link(more, held, forward=forward))
        used.add(more.name)
        a = node[more.a] if forward else node[more.b]
    return Chain(a, b, tuple(links))


def _only_other(at: str, shown: Sequence[Element], node: dict[str, str], used: set[str]) -> Element | None:
    others = [e for e in shown if e.name not in used and at in (node[e.a], node[e.b])]
    return others[0] if len(others) == 1 else None


def _link(element: Element, held: frozenset[str], *, forward: bool) -> ChainLink:
    by_held = element.kind is ElementKind.CONTACT and element.control.partition(".")[2] in held
    return ChainLink(element.name, element.kind, element.normally_closed != by_held, forward)
