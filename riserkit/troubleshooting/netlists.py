"""The netlists that a door's faults make, and what of them is worked out once: most share all but a wire or a part."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import isfinite
from typing import Final

from riserkit.circuits.netlist import Component, Landing, Netlist
from riserkit.circuits.one_structure import ComponentsOnce, of_one_structure
from riserkit.circuits.overlay import Components
from riserkit.circuits.topology import key_of
from riserkit.troubleshooting.changes import Way, Without
from riserkit.troubleshooting.controller import cut_off, does_nothing, fed_over_cable, offline, unpowered
from riserkit.troubleshooting.landings import OtherLandings, other_landings
from riserkit.troubleshooting.suspects import Suspect, netlist_of
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.roles import DeviceRole, ElementRole

_MOST_LANDINGS: Final = 120
"""Wirings solved together: each brings landings that the others lack, and with them more to eliminate."""
_FEW: Final = 40


class FaultNetlists:
    """The netlists of one door's faults, each made when it is first asked for."""

    def __init__(self, circuit: DoorCircuit) -> None:
        self.circuit, self.signals, self.once = circuit, Signals(circuit.netlist), ComponentsOnce()
        self._of: dict[Way, Netlist | None] = {}
        self._lost: dict[Way, tuple[str, ...]] = {}
        self._landings: dict[Way, OtherLandings] = {}
        self._silent: dict[tuple[str, ...], frozenset[str]] = {(): frozenset()}
        self._raw: dict[Way, tuple[Netlist | None, tuple[str, ...]]] = {}
        self._same: dict[object, Component] = {}
        self._idle: dict[tuple[tuple[str, ...], bool], Without] = {}
        self._told: dict[int, tuple[Components, bool, bool]] = {}
        self._own = {id(one) for one in circuit.netlist.components}

    def __call__(self, way: Way) -> Netlist | None:
        """The netlist with these faults; None where they cannot be there together.

        A module whose link is broken gets no message, a controller without its cable no power. Commands are taken out by value, so
        that all these netlists share a structure and are solved together.
        """
        if way not in self._of:
            wrong, lost = self._wrong(way)
            self._lost[way] = lost
            self._of[way] = self._shared(self._without(wrong, self._idle_in(wrong, lost))) if wrong else None
        return self._of[way]

    def _wrong(self, way: Way) -> tuple[Netlist | None, tuple[str, ...]]:
        """The netlist with its faults and nothing else, and what data no longer reaches."""
        if way not in self._raw:
            last = way[-1] if way else None
            if isinstance(last, Without):  # which is put after many others, and lands no wire elsewhere
                before, lost = self._wrong(way[:-1])
                self._raw[way] = self._without(before, last) if before else None, lost
            else:
                wrong = netlist_of(self.circuit, way)
                self._raw[way] = wrong, self.signals.lost(wrong) if wrong else ()
        return self._raw[way]

    def _idle_in(self, wrong: Netlist, lost: tuple[str, ...]) -> Without:
        """What does nothing in it: the same wherever as much is lost and the controller is dead or not."""
        dead, _ = self._controller(wrong.components)
        if (lost, dead) not in self._idle:
            self._idle[lost, dead] = _idle(self.circuit, lost, dead=dead)
        return self._idle[lost, dead]

    def _controller(self, components: Components) -> tuple[bool, bool]:
        """Whether it is dead with these components, and whether the input that makes it release can read closed."""
        if id(components) not in self._told:
            netlist, wrong = self.circuit.netlist, replace(self.circuit.netlist, components=components)
            requests = netlist.elements(ElementRole.REQUEST_INPUT)
            asks = any(isfinite(wrong.element(name).values["r_ohm"]) for name in requests)
            # the components are kept with it, so that no others get their identity
            self._told[id(components)] = components, does_nothing(netlist, wrong), asks
        return self._told[id(components)][1:]

    def _without(self, netlist: Netlist, change: Without) -> Netlist:
        """As the change itself, with what each component becomes worked out once."""
        components = self.once(netlist.components, change, change.of) if change.names else netlist.components
        return netlist if components is netlist.components else replace(netlist, components=components)

    def _shared(self, netlist: Netlist) -> Netlist:
        """The netlist with components that are equal to those of an earlier one in their place."""
        components = self.once(netlist.components, "shared", self._one)
        return netlist if components is netlist.components else replace(netlist, components=components)

    def _one(self, component: Component) -> Component:
        if id(component) in self._own:
            return component
        told = (
            component.ref,
            tuple(
                (e.name, e.kind, e.a, e.b, e.control, e.normally_closed, tuple(e.values.items()))
                for e in component.elements
            ),
        )
        return self._same.setdefault(told, component)

    def lost(self, way: Way) -> tuple[str, ...]:
        """Terminals that data no longer reaches."""
        self(way)
        return self._lost[way]

    def silent(self, suspect: Suspect) -> frozenset[str]:
        """Designations of the devices that data no longer reaches; of a controller, from the network."""
        netlist, lost = self.circuit.netlist, self.lost(suspect.ways[0])
        if lost not in self._silent:
            controllers = {c.ref for c in netlist.devices(DeviceRole.CONTROLLER)}
            others = frozenset(terminal.partition(".")[0] for terminal in lost) - controllers
            self._silent[lost] = others | offline(netlist, lost)
        return self._silent[lost]

    def landings(self, suspect: Suspect) -> OtherLandings:
        """Where it shows that wires are landed otherwise than listed."""
        way = suspect.ways[0]  # of a poor joint they differ in its resistance, which does not show
        if way not in self._landings:
            self._landings[way] = other_landings(self.circuit.netlist, way)
        return self._landings[way]

    def cut_off(self, way: Way) -> bool:
        """Whether the PoE cable no longer reaches the door."""
        lost = self.lost(way)
        return bool(lost) and cut_off(self.circuit.netlist, lost)

    def asks(self, way: Way) -> bool:
        """Whether the input that makes the controller release can read closed: a dead one reads nothing."""
        netlist = self(way)
        return netlist is not None and self._controller(netlist.components)[1]


def _idle(circuit: DoorCircuit, lost: tuple[str, ...], *, dead: bool) -> Without:
    """What does nothing because data or power does not reach it; `dead`: nor does the controller."""
    deaf = frozenset(terminal.partition(".")[0] for terminal in lost)
    messages = (name for name in circuit.netlist.elements(ElementRole.MODULE_MESSAGE) if name.partition(".")[0] in deaf)
    cut = cut_off(circuit.netlist, lost)
    nothing = unpowered(circuit).names if cut or dead else frozenset()
    unfed = fed_over_cable(circuit.netlist) if cut else frozenset()
    return Without(frozenset(messages) | nothing | unfed)


def batches(netlists: Mapping[Way, Netlist], once: ComponentsOnce | None = None) -> Iterator[dict[Way, Netlist]]:
    """Netlists whose components have one structure and whose landings are not too many.

    Args:
        netlists: of one door.
        once: what has been worked out of their components before.
    """
    keys: dict[int, object] = {}
    makes: dict[object, dict[Way, Netlist]] = {}
    for way, netlist in of_one_structure(netlists, ComponentsOnce() if once is None else once).items():
        if id(netlist.components) not in keys:
            keys[id(netlist.components)] = key_of(replace(netlist, conductors=()))
        makes.setdefault(keys[id(netlist.components)], {})[way] = netlist
    for make in makes.values():
        first = next(iter(make.values()))
        usual = {id(c) for c in first.conductors}
        own = {(c.ref, c.a, c.b) for c in first.conductors}
        # those that are wired alike go together
        alike: dict[frozenset[tuple[str, Landing, Landing]], dict[Way, Netlist]] = {}
        for way, netlist in sorted(make.items(), key=lambda item: -len(item[1].conductors)):
            here = frozenset((c.ref, c.a, c.b) for c in netlist.conductors if id(c) not in usual) - own
            alike.setdefault(here, {})[way] = netlist
        plain = alike.pop(frozenset(), {})
        if len(plain) > _FEW:  # they need not be solved with landings that none of them has
            yield plain
            plain = {}
        batch, landings = plain, set[tuple[str, Landing, Landing]]()
        for here, some in alike.items():
            if batch and len(landings | here) > _MOST_LANDINGS:
                yield batch
                batch, landings = {}, set()
            batch = {**batch, **some}
            landings |= here
        if batch:
            yield batch
