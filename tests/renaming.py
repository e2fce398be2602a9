"""The shipped arrangements with every designation of their circuits changed, in an order that turns the alphabet round."""

from __future__ import annotations

import re
from dataclasses import replace

from riserkit.circuits.netlist import Landing
from riserkit.wiring.arrangement import Arrangement, Choice, DoorCircuit
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason

DEVICES = (
    "B1", "B2", "B3", "B4", "B5", "G1", "K1", "K2", "K3", "M1", "M2", "N1", "R1", "R2", "S1", "T1", "X1", "X2", "X3",
)  # fmt: skip
NEW = {ref: f"ZZ{90 - place}" for place, ref in enumerate(DEVICES)}
NEW |= {f"W{number}": f"CC{90 - number}" for number in range(1, 40)}
OLD = {new: old for old, new in NEW.items()}


def device(name: str) -> str:
    """`K1.L+` as `ZZ84.L+`; a name of no device as it is."""
    ref, dot, rest = name.partition(".")
    return NEW[ref] + dot + rest if ref else name


def told_back(text: str) -> str:
    """A text with the old designations in place of the new ones."""
    return re.sub(r"(?:ZZ|CC)\d\d", lambda match: OLD[match[0]], text)


def renamed(circuit: DoorCircuit) -> DoorCircuit:
    """The same circuit, every device and every cable called something else."""
    netlist = circuit.netlist
    components = tuple(
        replace(
            c,
            ref=NEW[c.ref],
            inside=NEW.get(c.inside, ""),
            elements=tuple(replace(e, control=device(e.control)) for e in c.elements),
        )
        for c in netlist.components
    )
    conductors = tuple(
        replace(c, a=_landing(c.a), b=_landing(c.b), cable=NEW[c.cable] if c.cable else "") for c in netlist.conductors
    )
    changed = replace(
        netlist, components=components, conductors=conductors,
        cables=tuple(replace(c, ref=NEW[c.ref]) for c in netlist.cables),
        spares=tuple(replace(s, cable=NEW[s.cable]) for s in netlist.spares), reference_node=device(netlist.reference_node),
    )  # fmt: skip
    return replace(
        circuit, netlist=changed, powered={device(n): on for n, on in circuit.powered.items()},
        commanded={device(n): on for n, on in circuit.commanded.items()}, locks=tuple(map(device, circuit.locks)),
        output=device(circuit.output), auxiliary=device(circuit.auxiliary), supply=device(circuit.supply),
        relay=device(circuit.relay),
    )  # fmt: skip


def _landing(landing: Landing) -> Landing:
    return Landing(NEW[landing.component], landing.terminal)


class Renamed:
    """An arrangement whose circuits go by other designations."""

    def __init__(self, arrangement: Arrangement) -> None:
        self.arrangement = arrangement
        self.name, self.title, self.rank = arrangement.name, arrangement.title, arrangement.rank

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        return self.arrangement.screen(need)

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        return self.arrangement.supplies(need)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        return renamed(self.arrangement.build(need, choice))


RENAMED = tuple(map(Renamed, SHIPPED_ARRANGEMENTS))
