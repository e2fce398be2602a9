"""The numbers that decide about solved candidates, each as a reason with its limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from riserkit.circuits.netlist import ElementKind
from riserkit.standards.poe import POE_CLASSES
from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.reason import SLACK, Reason
from riserkit.wiring.roles import DeviceRole
from riserkit.wiring.values import DoorVoltages

UNSETTLED = Reason(
    "steady-state", False, "the circuit has no steady state: a load asks for more than can reach it, or a coil chatters"
)


class _Test(NamedTuple):
    """One test of a candidate for many openings side by side: their parts, and so their limits, are the same."""

    name: str
    what: str
    values: Sequence[float | None]
    limit: float | None
    unit: str
    at_most: bool = True

    def reasons(self) -> list[Reason]:
        """A reason for each opening."""
        name, what, values, limit, unit, most = self
        if limit is None:
            return [Reason(name, None, what, v, limit, unit, most) for v in values]
        edge = limit + SLACK if most else limit - SLACK
        return [
            Reason(name, None if v is None else (v <= edge if most else v >= edge), what, v, limit, unit, most)
            for v in values
        ]


def solved_reasons(
    need: DoorNeed, circuit: DoorCircuit, choice: Choice, volts: Sequence[DoorVoltages]
) -> list[tuple[Reason, ...]]:
    """Every numeric test of one candidate for each opening, passed or not.

    Args:
        need: what the openings have in common.
        circuit: the candidate built for one of them.
        choice: the same one's choice.
        volts: the solved voltages of every opening; one whose circuit has no steady state fails for that.
    """
    tests = (
        *_lock_voltage(need, circuit, volts),
        *_limits(need, circuit, choice, volts),
        *_contact(need, circuit, volts),
        *_series_contacts(need, circuit, volts),
        _device_power(need, circuit, volts),
    )
    rows = zip(*(test.reasons() for test in tests), strict=True)
    return [row if v.lock_low_v is not None else (UNSETTLED,) for row, v in zip(rows, volts, strict=True)]


def _lock_voltage(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    lock = need.lock
    rated_v = lock.rated_v if lock else None
    high = None if not lock or lock.tolerance_high is None or rated_v is None else rated_v * (1 + lock.tolerance_high)
    low_v, high_v, off_v = [v.lock_low_v for v in volts], [v.lock_high_v for v in volts], [v.lock_off_v for v in volts]
    yield _Test("lock-voltage-low", "lowest voltage at the lock", low_v, need.lock_least_v, "V", at_most=False)
    yield _Test("lock-voltage-high", "highest voltage at the lock", high_v, high, "V")
    yield _Test("lock-off", "highest voltage at the lock when switched off", off_v, _drop_out_v(circuit), "V")


def _drop_out_v(circuit: DoorCircuit) -> float:
    """Voltage at which the first lock to hold on lets go."""
    coils = [e for ref in circuit.locks for e in circuit.netlist.component(ref).elements if e.kind is ElementKind.COIL]
    return min((coil.values.get("v_drop_out_v", 0.0) for coil in coils), default=0.0)


def _limits(need: DoorNeed, circuit: DoorCircuit, choice: Choice, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    controller = need.controller
    if circuit.output and controller is not None:
        amps = [v.output_a for v in volts]
        yield _Test("output-limit", "lock output gives", amps, controller.output_limit_a, "A")
    if circuit.auxiliary and controller is not None:
        amps = [v.auxiliary_a for v in volts]
        yield _Test("auxiliary-limit", "auxiliary output gives", amps, controller.auxiliary_limit_a, "A")
    if circuit.supply:
        limit_a = need.splitter.output_a if circuit.fed_by(DeviceRole.SPLITTER) and need.splitter else None
        if circuit.fed_by(DeviceRole.SUPPLY):
            limit_a = choice.supply.part.output_a if choice.supply else None
        yield _Test("supply-limit", "supply gives", [v.supply_a for v in volts], limit_a, "A")


def _contact(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    if not circuit.relay:
        return
    part = need.voltage_relay if circuit.voltage_relay else need.relay
    # An exit device's own supply carries the device; the module's contact carries its trigger alone.
    carried = 0 if need.lock is not None and need.lock.own_supply else len(circuit.locks)
    through_a = [carried * (v.lock_a or 0.0) for v in volts]
    yield _Test("relay-contact", "through the relay's contact", through_a, part.contact_a if part else None, "A")


def _series_contacts(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    """What stands in series with the locks carries all of them."""
    through_a = [len(circuit.locks) * (v.lock_a or 0.0) for v in volts]
    devices = circuit.netlist.devices
    if devices(DeviceRole.MANUAL_RELEASE) and need.release is not None:
        yield _Test("release-contact", "through the manual release", through_a, need.release.contact_a, "A")
    if need.sensor_breaks and need.rex is not None:
        yield _Test("sensor-contact", "through the REX sensor", through_a, need.rex.contact_a, "A")
    if devices(DeviceRole.FIRE_RELAY) and need.fire_relay is not None:
        yield _Test("fire-contact", "through the fire alarm relay", through_a, need.fire_relay.contact_a, "A")


def _device_power(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> _Test:
    splitter = circuit.fed_by(DeviceRole.SPLITTER)
    number = (need.splitter.poe_class if need.splitter else None) if splitter else None
    if not splitter and need.controller is not None:
        number = need.controller.poe_class
    limit_w = POE_CLASSES[number].p_pd_w if number is not None else None
    what = f"class {number} device draws" if number is not None else "the device draws"
    return _Test("class-power", what, [v.pd_w for v in volts], limit_w, "W")
