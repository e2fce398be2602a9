"""Highest voltages kept only by the drop over estimated cables: a cable shorter than estimated drops less."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.model.cabling import LengthBasis
from riserkit.rules._shared.base import within
from riserkit.rules._shared.circuits import CircuitsAlike, over_limit
from riserkit.rules._shared.lookups import lock_of, unsolved
from riserkit.wiring.arrangement import CircuitBuild, DoorCircuit
from riserkit.wiring.as_built import BuiltCircuit
from riserkit.wiring.choose.judge import Temperatures, solve_shortened
from riserkit.wiring.devices import lock_range_v, powered_devices
from riserkit.wiring.need import DATA
from riserkit.wiring.values import DoorVoltages

_KNOWN: Final = frozenset({str(LengthBasis.ROUTED), str(LengthBasis.STATED), str(LengthBasis.MEASURED)})
_MATTERS_V: Final = 0.001
"""A cable that drops less than a meter shows is not named (common practice, no source)."""
_LOCK: Final = -1
"""In place of a device's number."""


@dataclass(frozen=True, slots=True)
class EstimatedHigh:
    """A highest voltage within its limit with cables as estimated, and beyond it with the same cables of no length.

    Args:
        what: where, in words, such as `the lock`.
        high_v: with cables as estimated.
        short_v: with the estimated ones of no length.
        most_v: what it is rated to.
        cables: designations of the estimated cables that take the difference, the one that takes most first.
    """

    what: str
    high_v: float
    short_v: float
    most_v: float
    cables: tuple[str, ...]


class _Rated(NamedTuple):
    """A highest voltage with its limit; `number` of its device among the powered ones, or that of the lock."""

    number: int
    what: str
    high_v: float
    most_v: float


class EstimatedHighs:
    """Answers for the doors of one design. Doors that differ by estimated lengths alone are solved once."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._alike = CircuitsAlike()
        self._at = Temperatures(design.site.info.coldest_c, design.site.info.pathway_c)
        self._shortest: dict[tuple[object, ...], DoorVoltages] = {}

    def of(self, door: DoorDesign) -> tuple[EstimatedHigh, ...]:
        """Those of one door, the furthest beyond its limit first; none where no wiring is suitable or solved."""
        build = door.wiring.build
        if door.wiring.chosen is None or unsolved(door) or not isinstance(build, CircuitBuild | BuiltCircuit):
            return ()
        circuit = self._alike.circuit(door)
        if circuit is None or _overloaded(door, circuit):
            return ()
        # No voltage of a circuit is above its sources: what is rated to theirs keeps its limit over any cable.
        source_v = _source_high_v(circuit.netlist)
        rated = [
            r
            for r in _rated(self._design, door, circuit)
            if within(r.high_v, r.most_v) and not within(source_v, r.most_v)
        ]
        circuit = door.wiring.circuit
        if not rated or circuit is None:
            return ()
        estimated = tuple(c.ref for c in circuit.netlist.cables if c.role != DATA and c.length_basis not in _KNOWN)
        if not estimated:
            return ()
        shortest = self._with_shortest(build, circuit)
        beyond = [(r, v) for r in rated if not within(v := _high_v(shortest, r.number, source_v), r.most_v)]
        if not beyond:
            return ()
        need = build.need if isinstance(build, CircuitBuild) else build.build.need
        alone = solve_shortened(need, circuit, self._at, [(ref,) for ref in estimated])
        found = []
        for r, short_v in beyond:
            gains = [
                (_high_v(volts, r.number, source_v) - r.high_v, ref)
                for ref, volts in zip(estimated, alone, strict=True)
            ]
            cables = tuple(ref for gain_v, ref in sorted(gains, key=lambda g: -g[0]) if gain_v > _MATTERS_V)
            found.append(EstimatedHigh(r.what, r.high_v, short_v, r.most_v, cables or estimated))
        return tuple(sorted(found, key=lambda high: high.most_v / high.short_v))

    def _with_shortest(self, build: CircuitBuild | BuiltCircuit, circuit: DoorCircuit) -> DoorVoltages:
        """With no length for any cable whose length nobody knows, nor for the PoE cable, which carries none of this current."""
        known = tuple(
            (c.ref, c.length_m) for c in circuit.netlist.cables if c.role != DATA and c.length_basis in _KNOWN
        )
        refs = {ref for ref, _ in known}
        short = tuple(c.ref for c in circuit.netlist.cables if c.ref not in refs)
        if isinstance(build, BuiltCircuit):
            return solve_shortened(build.build.need, circuit, self._at, [short])[0]
        key = (*build.key, known)
        if key not in self._shortest:
            (self._shortest[key],) = solve_shortened(build.need, circuit, self._at, [short])
        return self._shortest[key]


def _overloaded(door: DoorDesign, circuit: DoorCircuit) -> bool:
    """Whether a source is asked for more than it gives: no voltage behind it is known then."""
    return any(over_limit(door, circuit, source) for source in (circuit.output, circuit.auxiliary, circuit.supply))


def _rated(design: Design, door: DoorDesign, circuit: DoorCircuit) -> Iterator[_Rated]:
    """The lock and every device that states what it is rated to."""
    volts, lock = door.wiring.voltages, lock_of(design, door)
    # A lock with a supply of its own is not measured, as in lock-voltage.
    if lock is not None and not lock.own_supply and volts.lock_high_v is not None:
        most_v = lock_range_v(lock)[1]
        if most_v is not None:
            yield _Rated(_LOCK, "the lock", volts.lock_high_v, most_v)
    devices = powered_devices(circuit.netlist, design.site.part)
    for number, (device, at) in enumerate(zip(devices, volts.devices, strict=True)):
        if device.most_v is not None:
            yield _Rated(number, f"{device.what} {device.ref}", at.high_v, device.most_v)


def _high_v(volts: DoorVoltages, number: int, source_v: float) -> float:
    """The highest voltage there; that of the source where the circuit has no steady state."""
    if volts.lock_high_v is None:
        return source_v
    return volts.lock_high_v if number == _LOCK else volts.devices[number].high_v


def _source_high_v(netlist: Netlist) -> float:
    sources = (e for c in netlist.components for e in c.elements if e.kind is ElementKind.SOURCE)
    return max((e.values["v_high_v"] for e in sources), default=0.0)
