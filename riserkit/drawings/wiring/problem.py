"""From a netlist to the layout's question: which components are boxes, which stand across another's terminals."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from riserkit.circuits.netlist import Component, Conductor, ElementKind, Netlist, Terminal
from riserkit.drawings.dxf.text import text_width_mm, wrap
from riserkit.drawings.wiring.chains import chains
from riserkit.drawings.wiring.plan import Ends, LayoutProblem
from riserkit.drawings.wiring.rows import DeviceRows, Landed
from riserkit.drawings.wiring.values import Style
from riserkit.quantities.grouping import grouped
from riserkit.wiring.roles import ElementRole

_INPUTS: Final = frozenset({ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT})
HEAD_WIDTH_MM: Final = 38.0
HEAD_PITCH: Final = 1.6
ACCESSIBLE: Final = "accessible"


@dataclass(frozen=True, slots=True)
class Across:
    """A part across two terminals of one device: its component, the device, and its lead at each terminal."""

    component: Component
    device: str
    leads: tuple[Conductor, Conductor]


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the top of a device: designation, lines of its title, lines on where it stands."""

    ref: str
    title: tuple[str, ...]
    place: tuple[str, ...]

    def height_mm(self, height_mm: float) -> float:
        """Room that the heading takes."""
        return (max(1, len(self.title)) + len(self.place)) * HEAD_PITCH * height_mm + 0.6 * height_mm


@dataclass(frozen=True, slots=True)
class LayoutQuestion:
    """A netlist set up for layout: boxes in the problem's order of devices, parts across them, headings."""

    netlist: Netlist
    boxes: tuple[Component, ...]
    across: tuple[Across, ...]
    headings: tuple[Heading, ...]
    problem: LayoutProblem
    spares: Mapping[tuple[str, str], tuple[str, ...]]


_SHUNTS: Final = frozenset({ElementKind.DIODE, ElementKind.SUPPRESSOR})


def find_across(netlist: Netlist) -> tuple[Across, ...]:
    """Suppressors and diodes whose only two conductors are leads to two terminals of one other component.

    Anything else keeps its box, for a part of the wiring may show no more of a splitter than its two tails: a symbol
    between leads has no terminals to land them on.
    """
    found: list[Across] = []
    taken: set[str] = set()
    for component in netlist.components:
        mine = [c for c in netlist.conductors if component.ref in (c.a.component, c.b.component)]
        if len(mine) != 2 or any(c.cable for c in mine) or len(component.terminals) != 2:
            continue
        far = [c.b if c.a.component == component.ref else c.a for c in mine]
        near = {(c.a if c.a.component == component.ref else c.b).terminal for c in mine}
        one_device = far[0].component == far[1].component and far[0].terminal != far[1].terminal
        symbols = [link.kind for chain in chains(component) for link in chain.links]
        is_shunt = bool(symbols) and _SHUNTS.issuperset(symbols)
        if one_device and len(near) == 2 and far[0].component not in taken | {component.ref} and is_shunt:
            found.append(Across(component, far[0].component, (mine[0], mine[1])))
            taken.add(component.ref)
    return tuple(found)


def set_up(netlist: Netlist, style: Style, room_mm: float) -> LayoutQuestion:
    """The layout's question for a netlist, with so much height to stay within if it can be done."""
    across = find_across(netlist)
    standing = {a.component.ref for a in across}
    boxes = tuple(c for c in netlist.components if c.ref not in standing)
    headings = tuple(heading_of(c, style) for c in boxes)
    spares = spare_ends(netlist)
    devices = tuple(_device(netlist, c, h, standing, spares, style) for c, h in zip(boxes, headings, strict=True))
    number = {c.ref: n for n, c in enumerate(boxes)}
    wires = tuple(
        Ends(n, c.cable, number[c.a.component], c.a.terminal, number[c.b.component], c.b.terminal)
        for n, c in enumerate(netlist.conductors)
        if c.a.component in number and c.b.component in number
    )
    return LayoutQuestion(
        netlist, boxes, across, headings, LayoutProblem(devices, wires, int(room_mm / style.step_mm)), spares
    )


def heading_of(component: Component, style: Style) -> Heading:
    """The heading of a component, wrapped to the width of a device."""
    ref_mm = text_width_mm(component.ref, 1.4 * style.height_mm) + style.height_mm
    first, *more = wrap(component.title, HEAD_WIDTH_MM - ref_mm, style.height_mm)
    # only the first line has the designation beside it
    title = (first, *wrap(" ".join(more), HEAD_WIDTH_MM, style.height_mm)) if more else (first,)
    where = f"{component.place}, {ACCESSIBLE}" if component.exposed and component.place else component.place
    where = where or (ACCESSIBLE if component.exposed else "")
    return Heading(component.ref, title, wrap(where, HEAD_WIDTH_MM, style.height_mm) if where else ())


def _device(
    netlist: Netlist,
    component: Component,
    heading: Heading,
    standing: set[str],
    spares: Mapping[tuple[str, str], tuple[str, ...]],
    style: Style,
) -> DeviceRows:
    names = tuple(t.name for t in component.terminals)
    landed: dict[str, list[Landed]] = {name: [] for name in names}
    for n, conductor in enumerate(netlist.conductors):
        for here, there in ((conductor.a, conductor.b), (conductor.b, conductor.a)):
            if here.component == component.ref:
                landed[here.terminal].append(Landed(n, conductor.cable, there.component in standing))
    return DeviceRows(
        names,
        tuple(tuple(landed[name]) for name in names),
        chains(component),
        tuple((cable, len(colours)) for (cable, ref), colours in spares.items() if ref == component.ref),
        math.ceil(heading.height_mm(style.height_mm) / style.step_mm),
        component.role,
        groups_of(component),
    )


def groups_of(component: Component) -> tuple[tuple[str, ...], ...]:
    """Terminals that stand together on the device and are never turned about: plus with its minus, a contact's, a link's.

    Together are neighbours that an element joins, and neighbours whose names differ in their last letter alone. Inputs
    share their return and stand each by itself.
    """
    joined = _joined_terminals(component)
    found: list[list[Terminal]] = []
    for terminal in component.terminals:
        last = found[-1] if found else []
        if last and (joined[terminal.name] in {joined[t.name] for t in last} or _is_pair(last[-1], terminal)):
            last.append(terminal)
        else:
            found.append([terminal])
    return tuple(tuple(t.name for t in group) for group in found if len(group) > 1)


def _joined_terminals(component: Component) -> dict[str, str]:
    """By terminal a name that those have in common between which an element stands; what ties returns together is none."""
    node = {n: n for e in component.elements for n in (e.a, e.b)} | {t.name: t.name for t in component.terminals}
    for element in component.elements:
        if element.kind is not ElementKind.RESISTOR and element.role not in _INPUTS:
            keep, drop = node[element.a], node[element.b]
            node = {n: keep if r == drop else r for n, r in node.items()}
    return node


def _is_pair(upper: Terminal, lower: Terminal) -> bool:
    """A plus with the minus after it, or names alike but for their last letter."""
    one, other = upper.name, lower.name
    alike = len(one) > 1 and len(one) == len(other) and one[:-1] == other[:-1] and not one[-1].isdigit()
    return alike or (upper.polarity, lower.polarity) == ("+", "-")


def spare_ends(netlist: Netlist) -> dict[tuple[str, str], tuple[str, ...]]:
    """Colours of the spare conductors by (cable, component): shown at both ends of the cable, at its main device there."""
    colours = grouped((spare.cable, spare.colour) for spare in netlist.spares)
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for cable, spare_colours in colours.items():
        landed = Counter(end.component for c in netlist.conductors if c.cable == cable for end in (c.a, c.b))
        for place in netlist.places(cable)[:2]:
            here = [(count, ref) for ref, count in landed.items() if (netlist.component(ref).inside or ref) == place]
            found[cable, max(here)[1]] = tuple(spare_colours)
    return found
