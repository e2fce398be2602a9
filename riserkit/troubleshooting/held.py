"""A door's netlists as they are while they are measured, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from riserkit.circuits.circuit import Circuit
from riserkit.circuits.netlist import Component, Netlist
from riserkit.circuits.one_structure import ComponentsOnce
from riserkit.circuits.overlay import Components, Wiring, overlaid
from riserkit.troubleshooting.changes import PartsMade, component_made
from riserkit.wiring.readings.meter import Measurement, component_held, instruments, wirings_measured


class HeldNetlists:
    """Netlists as they are while they are measured: what they have in common is set up once."""

    def __init__(self, once: ComponentsOnce) -> None:
        self._once = once
        self._whole: dict[tuple[int, str, int], tuple[Components, Components]] = {}

    def circuit(
        self, netlists: Sequence[Netlist], made: Sequence[PartsMade | None], setups: Sequence[Measurement]
    ) -> Circuit:
        """All of them side by side, set up one way after another: a column for each, way made and netlist, netlists fastest.

        Args:
            netlists: of one structure.
            made: the ways that their parts are made.
            setups: a reading of each way to set up, with one meter and the same power.
        """
        lifts = max((one.lifts for one in setups), key=len)
        wires = {id(netlist.conductors): netlist.conductors for netlist in netlists}
        parts = {id(netlist.components): netlist.components for netlist in netlists}
        once: dict[bool, list[Components]] = {}
        held: list[Components] = []
        wirings: list[Wiring] = []
        for one in setups:
            if one.on_battery not in once:
                first = replace(one, lifts=lifts)
                ways = [{name: self._set_up(some, way, first) for name, some in parts.items()} for way in made]
                once[one.on_battery] = [so_made[id(n.components)] for so_made in ways for n in netlists]
            held += once[one.on_battery]
            measured = wirings_measured(wires, one)
            wirings += [measured[id(netlist.conductors)] for netlist in netlists] * len(made)
        base = replace(netlists[0], components=held[0], conductors=())
        return overlaid(base, wirings, held)

    def _set_up(self, components: Components, made: PartsMade | None, asked: Measurement) -> Components:
        """Where the leads go is no matter to the components."""

        def held(one: Component) -> Component:
            return component_held(component_made(one, made) if made else one, asked)

        found = self._once(components, (made, asked.dead, asked.on_battery), held)
        key = id(found), asked.meter, len(asked.lifts)
        if key not in self._whole:
            self._whole[key] = found, (*found, *instruments(asked))
        return self._whole[key][1]
