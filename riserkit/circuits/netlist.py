"""The physical netlist: components with terminals, and the conductors that join them.

This is the one description that the drawing, the conductor table, the voltage calculation, the materials list
and the proofs are read off. It knows terminals, wires and electrical elements, and nothing of doors. What a component,
an element or an outside state is there for, it carries as a role: a word that its makers and readers agree on.

Conventions: an element of a component is between two of the component's own terminals (or a terminal and
an inner node, written with a leading underscore). Current is positive from `a` to `b`. All values are SI.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import isnan
from types import MappingProxyType
from typing import Literal

_OF_MOVERS = frozenset({"v_pull_in_v", "v_drop_out_v"})
_NO_VALUES: Mapping[str, float] = MappingProxyType({})


class ElementKind(StrEnum):
    """What a two-terminal element does; `values` of `Element` lists the numbers each one takes."""

    RESISTOR = "resistor"
    SOURCE = "source"
    CURRENT_LOAD = "current-load"
    POWER_LOAD = "power-load"
    COIL = "coil"
    DIODE = "diode"
    SUPPRESSOR = "suppressor"
    CONTACT = "contact"


@dataclass(frozen=True, slots=True)
class Element:
    """One two-terminal element inside a component.

    Args:
        name: unique within its component.
        kind: what it does.
        a: terminal (or inner node) at which current enters; plus of a source, anode of a diode.
        b: terminal at which it leaves.
        values: numbers by kind, SI units:
            resistor `r_ohm`; source `v_nominal_v`, `v_low_v`, `v_high_v`, `r_ohm`, `i_limit_a` (absent: unlimited);
            current-load `i_a` (drawn at any voltage above `v_min_v`, absent: 0); power-load `p_w` (none below
            `v_min_v`, absent: 0); coil `r_ohm`, `l_h` (absent: unknown), `v_pull_in_v`, `v_drop_out_v`;
            diode `v_forward_v`, `r_on_ohm`; suppressor `v_clamp_v`, `r_on_ohm` (absent: 1 Ω); contact `r_closed_ohm`.
            A resistor or a load that moves contacts states `v_pull_in_v` and `v_drop_out_v` too.
        control: what moves a contact, or takes any other element in and out: `component.element` of a coil in the
            same netlist, or the name of an outside state such as `K1.output`, `S1.pressed`. Empty: never moves.
        normally_closed: a contact closed, any other controlled element in the circuit, while its control is at rest.
        role: what it is there for, in a word of the netlist's makers; empty: nothing that anybody asks for.
    """

    name: str
    kind: ElementKind
    a: str
    b: str
    values: Mapping[str, float] = field(default_factory=lambda: _NO_VALUES, hash=False)
    control: str = ""
    normally_closed: bool = False
    role: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class Terminal:
    """A point where a conductor lands.

    `name` is what is printed beside it. `role` says in words what it is for. `polarity` is `+`, `-` or empty.
    """

    name: str
    role: str = ""
    polarity: str = ""


@dataclass(frozen=True, slots=True)
class OutsideState:
    """Something done to a component from outside, by a hand, a message or the mains: what moves contacts that no coil moves.

    `name` is unique within its component; elements name it as `component.name`, such as `S1.pressed`. `role` is what it
    means, in a word of the netlist's makers.
    """

    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Component:
    """A thing with terminals.

    Args:
        ref: reference designation after IEC 81346, unique in the netlist, such as `K1`.
        title: what the crew calls it, such as `Electric strike`.
        terminals: in the order they stand on the device.
        elements: its electrical model between those terminals.
        part: id of the part in the catalogue, if it is one.
        exposed: accessible from the unsecured side with the device taken off the wall.
        place: where it is, in words, such as `door head, secured side`.
        closet: id of the closet that it stands in; empty for all that stands at the door.
        in_leaf: it is in the leaf, and moves with it.
        role: what kind of device it is, in a word of the netlist's makers.
        states: what can be done to it from outside.
        inside: designation of the box or device that it is in, so that a cable that ends there may land on either;
            empty where it is by itself.
    """

    ref: str
    title: str
    terminals: tuple[Terminal, ...]
    elements: tuple[Element, ...] = ()
    part: str = ""
    exposed: bool = False
    place: str = ""
    role: str = field(default="", repr=False)
    states: tuple[OutsideState, ...] = field(default=(), repr=False)
    inside: str = ""
    closet: str = ""
    in_leaf: bool = False

    def has(self, *roles: str) -> bool:
        """Whether an element of it has one of these roles."""
        return any(element.role in roles for element in self.elements)

    def terminal(self, name: str) -> Terminal:
        """The terminal called `name`; KeyError when there is none."""
        for terminal in self.terminals:
            if terminal.name == name:
                return terminal
        raise KeyError(f"{self.ref} has no terminal {name!r}; it has {', '.join(t.name for t in self.terminals)}")

    def poles(self) -> tuple[str, str]:
        """Its one pair of terminals with polarity, plus first, as `G1.S+`; KeyError when it has none or several."""
        plus, minus = ([t.name for t in self.terminals if t.polarity == sign] for sign in ("+", "-"))
        if len(plus) != 1 or len(minus) != 1:
            raise KeyError(f"{self.ref} has no one pair of terminals with polarity")
        return f"{self.ref}.{plus[0]}", f"{self.ref}.{minus[0]}"


@dataclass(frozen=True, slots=True)
class Landing:
    """One end of a conductor: a component and its terminal."""

    component: str
    terminal: str

    def __str__(self) -> str:
        """`K1.L+`, the way nodes are named."""
        return f"{self.component}.{self.terminal}"


@dataclass(frozen=True, slots=True)
class Cable:
    """A jacketed cable at the door, holding conductors.

    Args:
        ref: reference designation, such as `W2`; with the opening's mark it is the cable's label.
        cable_type: id of the cable type.
        length_m: one-way length.
        length_basis: `stated`, `measured`, `routed` or `estimated`.
        colours: IEC 60757 letters of all conductors it holds, in the maker-neutral order they are used.
        gauge: as printed, such as `18 AWG`.
        exposed: some of it is accessible from the unsecured side.
        role: what it serves, in a word.
        stranding: how its conductors are made; empty where nobody says.
    """

    ref: str
    cable_type: str
    length_m: float
    length_basis: str
    colours: tuple[str, ...]
    gauge: str
    exposed: bool = False
    role: str = ""
    stranding: Literal["", "solid", "stranded"] = ""


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor landed at both ends.

    `cable` is empty for a factory lead or a jumper inside an enclosure. `r20_ohm` is its one-way resistance at 20 °C.
    """

    ref: str
    a: Landing
    b: Landing
    colour: str
    gauge: str
    r20_ohm: float
    cable: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Spare:
    """A conductor of a cable that lands nowhere: cut back and insulated by itself at both ends."""

    cable: str
    colour: str


@dataclass(frozen=True, slots=True)
class Netlist:
    """All of one circuit.

    Args:
        components: in drawing order, from the network side to the lock.
        cables: in order of designation.
        conductors: in order of designation.
        spares: conductors to be insulated one by one.
        reference_node: `component.terminal` taken as 0 V.
    """

    components: tuple[Component, ...]
    cables: tuple[Cable, ...]
    conductors: tuple[Conductor, ...]
    spares: tuple[Spare, ...]
    reference_node: str

    def component(self, ref: str) -> Component:
        """The component with this designation; KeyError when there is none."""
        for component in self.components:
            if component.ref == ref:
                return component
        raise KeyError(f"no component {ref!r} in the netlist")

    def cable(self, ref: str) -> Cable:
        """The cable with this designation; KeyError when there is none."""
        for cable in self.cables:
            if cable.ref == ref:
                return cable
        raise KeyError(f"no cable {ref!r} in the netlist")

    @property
    def unknown(self) -> bool:
        """Some value is not a number: it can be drawn, but not computed.

        The voltages at which a coil moves may be unknown where it moves no contact, as a lock's coil.
        """
        moving = {e.control for c in self.components for e in c.elements}
        return any(
            isnan(number) and (name not in _OF_MOVERS or f"{c.ref}.{e.name}" in moving)
            for c in self.components
            for e in c.elements
            for name, number in e.values.items()
        )

    def places(self, cable_ref: str) -> tuple[str, ...]:
        """Designations of the boxes and devices at which a cable's conductors are landed, in drawing order.

        A cable has two ends; conductors that part at more places want a box to be spliced in.
        """
        landed = {end.component for c in self.conductors if c.cable == cable_ref for end in (c.a, c.b)}
        return tuple(dict.fromkeys(c.inside or c.ref for c in self.components if c.ref in landed))

    def at(self, landing: Landing) -> Iterator[Conductor]:
        """Every conductor landed at this terminal."""
        return (c for c in self.conductors if landing in (c.a, c.b))

    def element(self, name: str) -> Element:
        """The element `component.element`; KeyError when there is none."""
        ref, _, own = name.partition(".")
        for element in self.component(ref).elements:
            if element.name == own:
                return element
        raise KeyError(f"no element {name!r} in the netlist")

    def ends(self, name: str) -> tuple[str, str]:
        """The two nodes of the element `component.element`, as `K1.L+`; KeyError when there is none."""
        element, ref = self.element(name), name.partition(".")[0]
        return f"{ref}.{element.a}", f"{ref}.{element.b}"

    def devices(self, *roles: str) -> tuple[Component, ...]:
        """Components with one of these roles, in drawing order."""
        return tuple(c for c in self.components if c.role in roles)

    def elements(self, *roles: str) -> tuple[str, ...]:
        """Names `component.element` of the elements with one of these roles, in drawing order."""
        return tuple(f"{c.ref}.{e.name}" for c in self.components for e in c.elements if e.role in roles)

    def states(self, *roles: str) -> tuple[str, ...]:
        """Names `component.state` of the outside states with one of these roles, in drawing order; of all for none."""
        return tuple(
            f"{c.ref}.{state.name}" for c in self.components for state in c.states if not roles or state.role in roles
        )

    def role_of_state(self, name: str) -> str:
        """The role of the outside state `component.state`; empty when no component declares it."""
        return next((s.role for c in self.components for s in c.states if f"{c.ref}.{s.name}" == name), "")
