"""Highest voltages and currents kept only by the drop over estimated cables: a cable shorter than estimated drops less."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.model.cabling import LengthBasis
from riserkit.model.parts import Suppressor
from riserkit.rules._shared.base import within
from riserkit.rules._shared.circuits import CircuitsAlike, over_limit
from riserkit.rules._shared.lookups import controller_of, lock_of, unsolved
from riserkit.wiring.arrangement import CircuitBuild, DoorCircuit
from riserkit.wiring.as_built import BuiltCircuit
from riserkit.wiring.choose.judge import Temperatures, solve_shortened
from riserkit.wiring.contacts import rated_contacts
from riserkit.wiring.devices import lock_range_v, powered_devices
from riserkit.wiring.need import DATA
from riserkit.wiring.readings.release_time import suppressors_of
from riserkit.wiring.values import DoorVoltages

_KNOWN: Final = frozenset({str(LengthBasis.ROUTED), str(LengthBasis.STATED), str(LengthBasis.MEASURED)})
_MATTERS_V: Final = 0.001
"""A cable that drops less than a meter shows is not named (common practice, no source)."""
_MATTERS_A: Final = 0.0001


@dataclass(frozen=True, slots=True)
class EstimatedHigh:
    """A highest voltage or current within its limit with cables as estimated, and beyond it with the same cables of no length.

    Args:
        what: where, in words, such as `the lock`.
        unit: `V` or `A`, of the three that follow.
        high: with cables as estimated.
        short: with the estimated ones of no length.
        most: what it is rated to.
        cables: designations of the estimated cables that take the difference, the one that takes most first.
    """

    what: str
    unit: str
    high: float
    short: float
    most: float
    cables: tuple[str, ...]


class _Rated(NamedTuple):
    """A highest voltage or current with its limit.

    Args:
        what: where, in words.
        unit: `V` or `A`.
        most: the limit.
        of: takes it out of what is solved; None where there is nothing solved.
    """

    what: str
    unit: str
    most: float
    of: Callable[[DoorVoltages], float | None]


class EstimatedHighs:
    """Answers for the doors of one design. Doors that differ by estimated lengths alone are solved once."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._alike = CircuitsAlike()
        self._at = Temperatures.of(design.site.info)
        self._shortest: dict[tuple[object, ...], DoorVoltages] = {}

    def of(self, door: DoorDesign) -> tuple[EstimatedHigh, ...]:
        """Those of one door, the furthest beyond its limit first; none where no wiring is suitable or solved."""
        build = door.wiring.build
        if door.wiring.chosen is None or unsolved(door) or not isinstance(build, CircuitBuild | BuiltCircuit):
            return ()
        circuit = self._alike.circuit(door)
        if circuit is None or _overloaded(door, circuit):
            return ()
        volts, source_v = door.wiring.voltages, _source_high_v(circuit.netlist)
        rated = [r for r in _rated(self._design, door, circuit) if _may_pass_limit(r, volts, source_v)]
        circuit = door.wiring.circuit
        if not rated or circuit is None:
            return ()
        estimated = tuple(c.ref for c in circuit.netlist.cables if c.role != DATA and c.length_basis not in _KNOWN)
        if not estimated:
            return ()
        shortest = self._with_shortest(build, circuit)
        beyond = [(r, high) for r in rated if not within(high := _high(shortest, r, source_v), r.most)]
        if not beyond:
            return ()
        need = build.need if isinstance(build, CircuitBuild) else build.build.need
        alone = solve_shortened(need, circuit, self._at, [(ref,) for ref in estimated])
        found = []
        for r, short in beyond:
            now = _high(volts, r, source_v)
            gains = [(_high(one, r, source_v) - now, ref) for ref, one in zip(estimated, alone, strict=True)]
            matters = _MATTERS_V if r.unit == "V" else _MATTERS_A
            cables = tuple(ref for gain, ref in sorted(gains, key=lambda g: -g[0]) if gain > matters)
            found.append(EstimatedHigh(r.what, r.unit, now, short, r.most, cables or estimated))
        return tuple(sorted(found, key=lambda high: high.most / high.short))

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


def _may_pass_limit(rated: _Rated, volts: DoorVoltages, source_v: float) -> bool:
    """Whether it keeps its limit now, and might not over cables of no length.

    No voltage of a circuit is above its sources. A coil takes the more current the more voltage it has, so no current grows by
    more than the voltage at the lock may.
    """
    high = rated.of(volts)
    if high is None or not within(high, rated.most):
        return False
    if rated.unit == "V":
        return not within(source_v, rated.most)
    return bool(volts.lock_high_v) and not within(high * source_v / (volts.lock_high_v or source_v), rated.most)


def _rated(design: Design, door: DoorDesign, circuit: DoorCircuit) -> Iterator[_Rated]:
    """What the lock, its suppressor, contacts, outputs and every device are rated to, where they state it."""
    volts, lock = door.wiring.voltages, lock_of(design, door)
    # A lock with a supply of its own is not measured, as in lock-voltage.
    if lock is not None and not lock.own_supply:
        most_v = lock_range_v(lock)[1]
        if most_v is not None:
            yield _Rated("the lock", "V", most_v, lambda v: v.lock_high_v)
        yield from _suppressors(design, circuit)
    devices = powered_devices(circuit.netlist, design.site.part)
    for number, device in enumerate(devices[: len(volts.devices)]):
        if device.most_v is not None:
            yield _Rated(
                f"{device.what} {device.ref}", "V", device.most_v,
                _of_device(number),
            )  # fmt: skip
    for number, contact in enumerate(rated_contacts(circuit, design.site.part)[: len(volts.contacts)]):
        if contact.in_feed and contact.carries_a is not None:
            yield _Rated(
                f"{contact.what} {contact.ref} {contact.pole}", "A", contact.carries_a,
                _of_contact(number),
            )  # fmt: skip
    controller = controller_of(design, door)
    if controller is not None and controller.output_limit_a is not None:
        yield _Rated("the lock output", "A", controller.output_limit_a, lambda v: v.output_a)
    if controller is not None and controller.auxiliary_limit_a is not None:
        yield _Rated("the auxiliary output", "A", controller.auxiliary_limit_a, lambda v: v.auxiliary_a)


def _of_device(number: int) -> Callable[[DoorVoltages], float | None]:
    return lambda volts: volts.devices[number].high_v if volts.devices else None


def _of_contact(number: int) -> Callable[[DoorVoltages], float | None]:
    return lambda volts: volts.contacts[number].most_a if volts.contacts else None


def _suppressors(design: Design, circuit: DoorCircuit) -> Iterator[_Rated]:
    for ref in circuit.locks:
        found = next(suppressors_of(circuit.netlist, ref), None)
        part = design.site.part.get(found[0].part) if found is not None else None
        if found is None or not isinstance(part, Suppressor):
            continue
        name = f"suppressor {found[0].ref}"
        if part.kind != "diode" and part.clamp_v is not None:
            yield _Rated(name, "V", part.clamp_v, lambda v: v.lock_high_v)
        if part.rated_a is not None:
            yield _Rated(name, "A", part.rated_a, lambda v: v.lock_a)


def _high(volts: DoorVoltages, rated: _Rated, source_v: float) -> float:
    """The highest there; where the circuit has no steady state the source's voltage, and a current without end."""
    high = rated.of(volts)
    if high is None or volts.lock_high_v is None:
        return source_v if rated.unit == "V" else math.inf
    return high


def _source_high_v(netlist: Netlist) -> float:
    sources = (e for c in netlist.components for e in c.elements if e.kind is ElementKind.SOURCE)
    return max((e.values["v_high_v"] for e in sources), default=0.0)
