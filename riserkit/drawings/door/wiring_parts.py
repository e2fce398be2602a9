"""Wiring that no sheet can hold in one diagram, cut into diagrams that sheets can: every conductor is in one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from riserkit.circuits.netlist import Component, Conductor, Element, Netlist
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.wiring.chains import is_shown

Group = tuple[Conductor, ...]


def wiring_parts(netlist: Netlist, fits: Callable[[Netlist], bool]) -> tuple[Netlist, ...]:
    """The netlist, or as many parts of it as it takes until each fits.

    Args:
        netlist: of one opening.
        fits: whether a sheet can hold the diagram of a part.

    Raises:
        SheetError: a part of a single conductor does not fit.
    """
    if fits(netlist):
        return (netlist,)
    first, second = _halves(netlist)
    return (*wiring_parts(part(netlist, first), fits), *wiring_parts(part(netlist, second), fits))


def part(netlist: Netlist, conductors: Sequence[Conductor]) -> Netlist:
    """What these conductors join, with the terminals that they or the symbols between them need."""
    cables = {c.cable for c in conductors}
    landings = {(end.component, end.terminal) for c in conductors for end in (c.a, c.b)}
    refs = {ref for ref, _ in landings}
    return replace(
        netlist,
        components=tuple(
            _reduced(c, {terminal for ref, terminal in landings if ref == c.ref})
            for c in netlist.components
            if c.ref in refs
        ),
        cables=tuple(c for c in netlist.cables if c.ref in cables),
        conductors=tuple(conductors),
        spares=tuple(s for s in netlist.spares if s.cable in cables),
    )


def _halves(netlist: Netlist) -> tuple[Group, Group]:
    """Two parts of about as many conductors, in order; cables stay whole where there are several."""
    groups = _groups(netlist)
    if len(groups) == 1:
        groups = [(c,) for c in groups[0]]
    if len(groups) < 2:
        raise SheetError(
            f"the wiring of {' and '.join(c.ref for c in netlist.components)} is larger than the largest sheet; "
            "give its devices shorter titles or fewer terminals"
        )
    half, first = len(netlist.conductors) / 2, list[Group]()
    while len(first) < len(groups) - 1 and sum(map(len, first)) + len(groups[len(first)]) / 2 <= half:
        first.append(groups[len(first)])
    cut = max(1, len(first))
    return tuple(c for g in groups[:cut] for c in g), tuple(c for g in groups[cut:] for c in g)


def _groups(netlist: Netlist) -> list[Group]:
    """Conductors by cable; leads go with a cable of the device that they belong to."""
    of_cable: dict[str, list[Conductor]] = {cable.ref: [] for cable in netlist.cables}
    touching: dict[str, str] = {}
    for c in netlist.conductors:
        if c.cable:
            of_cable.setdefault(c.cable, []).append(c)
            touching.update({c.a.component: c.cable, c.b.component: c.cable})
    for c in netlist.conductors:
        if not c.cable:
            host = touching.get(c.b.component) or touching.get(c.a.component) or ""
            of_cable.setdefault(host, []).append(c)
    return [tuple(found) for found in of_cable.values() if found]


def _reduced(component: Component, landed: Iterable[str]) -> Component:
    """The device with the terminals landed here, and the symbols that stand on any of them with all of theirs."""
    names = {t.name for t in component.terminals}
    # a terminal that nothing drawn joins to these would stand here as if nothing were landed on it
    shown = [c for c in _chains(component.elements, names) if any(map(is_shown, c))]
    chains = [c for c in shown if any(end in landed for e in c for end in (e.a, e.b))]
    elements = {e.name for chain in chains for e in chain}
    kept = {*landed, *(end for chain in chains for e in chain for end in (e.a, e.b))}
    return replace(
        component,
        terminals=tuple(t for t in component.terminals if t.name in kept),
        elements=tuple(e for e in component.elements if e.name in elements),
    )


def _chains(elements: Sequence[Element], terminals: set[str]) -> list[list[Element]]:
    """Elements that hang together by nodes inside the device."""
    chains: list[list[Element]] = []
    for element in elements:
        inner = {element.a, element.b} - terminals
        joined = [c for c in chains if any(inner & {e.a, e.b} for e in c)]
        chains = [c for c in chains if c not in joined]
        chains.append([*(e for c in joined for e in c), element])
    return chains
