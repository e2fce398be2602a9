"""The cables that carry one lock's current in its door's netlist, and what other ones would do to its voltage."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from riserkit.circuits.netlist import Cable, ElementKind, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.standards.copper import Stranding, at_temperature, larger_gauges, resistance_per_m_20c_ohm
from riserkit.wiring.arrangement import DoorCircuit


@dataclass(frozen=True, slots=True)
class FeedCable:
    """A cable of the lock cable's type on the lock's way.

    Args:
        role: `lock`, or `feed` from an outside supply.
        length_m: one way.
        ohm: there and back, hot, times the locks whose current it carries.
    """

    role: str
    length_m: float
    ohm: float


@dataclass(frozen=True, slots=True)
class LockFeed:
    """One lock and its cables.

    Args:
        source_v: least voltage of the source behind it all.
        low_v: least voltage at the lock as wired.
        lock_ohm: resistance of its coil.
        gauge: of all these cables.
        stranding: of all these cables.
        cables: the one with the greatest drop first.
    """

    source_v: float
    low_v: float
    lock_ohm: float
    gauge: str
    stranding: Stranding
    cables: tuple[FeedCable, ...]

    @property
    def cables_ohm(self) -> float:
        """All cables together."""
        return sum(cable.ohm for cable in self.cables)

    @property
    def series_ohm(self) -> float:
        """All that the lock's current passes, as if in series with it alone: contacts and other cables too."""
        return self.lock_ohm * (self.source_v / self.low_v - 1)

    def thicker(self) -> Iterator[tuple[str, float]]:
        """Thicker gauges and the voltage at the lock with each."""
        now_ohm = resistance_per_m_20c_ohm(self.gauge, self.stranding)
        for gauge in larger_gauges(self.gauge):
            saved_ohm = self.cables_ohm * (1 - resistance_per_m_20c_ohm(gauge, self.stranding) / now_ohm)
            yield gauge, self.source_v * self.lock_ohm / (self.lock_ohm + self.series_ohm - saved_ohm)

    def longest_m(self, lock_v: float) -> float:
        """Length of the first cable that leaves this voltage at the lock, above 0 V; below 0 m: not even none would."""
        first = self.cables[0]
        allowed_ohm = self.lock_ohm * (self.source_v / lock_v - 1) - (self.series_ohm - first.ohm)
        return first.length_m * allowed_ohm / first.ohm


def lock_feed(design: Design, door: DoorDesign) -> LockFeed | None:
    """The door's first lock with its cables; None when it has no solved coil, no voltage, or no cable with any length."""
    circuit, low_v = door.wiring.circuit, door.wiring.voltages.lock_low_v
    if circuit is None or low_v is None or low_v <= 0 or not circuit.locks:
        return None  # a lock that gets nothing is not cured by copper
    lock = circuit.netlist.component(circuit.locks[0])
    lock_ohm = next((e.values["r_ohm"] for e in lock.elements if e.kind is ElementKind.COIL), None)
    cables = tuple(_cables(circuit.netlist, lock.ref, len(circuit.locks), design.site.info.pathway_c))
    if lock_ohm is None or not cables:
        return None
    first = next(c for c in circuit.netlist.cables if c.role == cables[0].role)
    source_v = _source_v(circuit) or low_v * (1 + sum(c.ohm for c in cables) / lock_ohm)
    return LockFeed(
        source_v, low_v, lock_ohm, first.gauge, first.stranding, tuple(sorted(cables, key=lambda c: (-c.ohm, c.role)))
    )


def _source_v(circuit: DoorCircuit) -> float | None:
    ref, _, name = (circuit.supply or circuit.output or circuit.auxiliary).partition(".")
    if not ref:
        return None
    elements = circuit.netlist.component(ref).elements
    return next((e.values["v_low_v"] for e in elements if e.name == name and e.kind is ElementKind.SOURCE), None)


def _cables(netlist: Netlist, lock_ref: str, locks: int, temp_c: float) -> Iterator[FeedCable]:
    for cable in netlist.cables:
        conductors = [c for c in netlist.conductors if c.cable == cable.ref]
        mine = cable.role == "feed" or any(lock_ref in (c.a.component, c.b.component) for c in conductors)
        if cable.role in {"lock", "feed"} and mine and cable.length_m > 0:
            ohm = at_temperature(sum(c.r20_ohm for c in conductors), temp_c)
            yield FeedCable(cable.role, cable.length_m, ohm * _carried(cable, locks))


def _carried(cable: Cable, locks: int) -> int:
    return locks if cable.role == "feed" else 1
