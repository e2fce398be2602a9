"""The numbers that decide about solved candidates, each as a reason with its limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from riserkit.circuits.netlist import ElementKind
from riserkit.standards.poe import POE_CLASSES
from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.contacts import rated_contacts
from riserkit.wiring.devices import feed_of_node, lock_range_v, powered_devices
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.over_limit import NOT_COMPUTED
from riserkit.wiring.reason import SLACK, Reason
from riserkit.wiring.roles import DeviceRole
from riserkit.wiring.values import DoorVoltages

UNSETTLED = Reason(
    "steady-state", False, "the circuit has no steady state: a load is beyond its source, or a coil chatters"
)


class _Test(NamedTuple):
    """One test of a candidate for many openings side by side: their parts, and so their limits, are the same.

    `fed_from` is the source `component.element` that a voltage comes from.
    """

    name: str
    what: str
    values: Sequence[float | None]
    limit: float | None
    unit: str
    at_most: bool = True
    fed_from: str = ""

    def reasons(self) -> list[Reason]:
        """A reason for each opening."""
        name, what, values, limit, unit, most, _ = self
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
    limits = tuple(_limits(need, circuit, choice, volts))
    tests = (
        *_lock_voltage(need, circuit, volts),
        *limits,
        *_devices(need, circuit, volts),
        *_contacts(need, circuit, volts),
        _device_power(need, circuit, volts),
    )
    columns = [test.reasons() for test in tests]
    for limit in limits:
        # A source beyond its limit does not give its voltage: what the circuit without limits says of it is not so.
        over = [reason.passed is False for reason in limit.reasons()]
        fed = [k for k, test in enumerate(tests) if test.fed_from == limit.fed_from and test.unit == "V"]
        for k in fed if any(over) else ():
            columns[k] = [_not_computed(r) if no else r for r, no in zip(columns[k], over, strict=True)]
    rows = zip(*columns, strict=True)
    return [row if v.lock_low_v is not None else (UNSETTLED,) for row, v in zip(rows, volts, strict=True)]


def _not_computed(reason: Reason) -> Reason:
    return replace(reason, passed=None, value=None, why=NOT_COMPUTED)


def _lock_voltage(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    lock = need.lock
    least_v, most_v = lock_range_v(lock) if lock else (None, None)
    feed = feed_of_node(circuit.netlist, f"{circuit.locks[0]}.+") if circuit.locks else None
    fed, source = (f", fed from {feed.terminal}", feed.source) if feed else ("", "")
    low_v, high_v, off_v = [v.lock_low_v for v in volts], [v.lock_high_v for v in volts], [v.lock_off_v for v in volts]
    yield _Test("lock-voltage-low", f"lowest voltage at the lock{fed}", low_v, least_v, "V", False, source)
    yield _Test("lock-voltage-high", f"highest voltage at the lock{fed}", high_v, most_v, "V", True, source)
    yield _Test("lock-off", "highest voltage at the lock when switched off", off_v, _drop_out_v(circuit), "V")


def _drop_out_v(circuit: DoorCircuit) -> float:
    """Voltage at which the first lock to hold on lets go."""
    coils = [e for ref in circuit.locks for e in circuit.netlist.component(ref).elements if e.kind is ElementKind.COIL]
    return min((coil.values.get("v_drop_out_v", 0.0) for coil in coils), default=0.0)


def _limits(need: DoorNeed, circuit: DoorCircuit, choice: Choice, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    controller = need.controller
    if circuit.output and controller is not None:
        amps = [v.output_a for v in volts]
        yield _Test("output-limit", "lock output gives", amps, controller.output_limit_a, "A", fed_from=circuit.output)
    if circuit.auxiliary and controller is not None:
        amps = [v.auxiliary_a for v in volts]
        yield _Test(
            "auxiliary-limit",
            "auxiliary output gives",
            amps,
            controller.auxiliary_limit_a,
            "A",
            fed_from=circuit.auxiliary,
        )
    if circuit.supply:
        limit_a = need.splitter.output_a if circuit.fed_by(DeviceRole.SPLITTER) and need.splitter else None
        if circuit.fed_by(DeviceRole.SUPPLY):
            limit_a = choice.supply.part.output_a if choice.supply else None
        yield _Test("supply-limit", "supply gives", [v.supply_a for v in volts], limit_a, "A", fed_from=circuit.supply)


def _devices(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    """Every powered device at its own terminals, on the feed that its wires come from."""
    for place, device in enumerate(powered_devices(circuit.netlist, need.parts)):
        feed = feed_of_node(circuit.netlist, device.plus)
        fed, source = (f", fed from {feed.terminal}", feed.source) if feed else ("", "")
        at = f"voltage at {device.ref}, {device.what}{fed}"
        solved = [v.devices[place] if v.devices else None for v in volts]
        low_v, high_v = [d.low_v if d else None for d in solved], [d.high_v if d else None for d in solved]
        yield _Test("device-voltage-low", f"lowest {at}", low_v, device.least_v, "V", False, source)
        if device.most_v is not None or device.lacks:
            yield _Test("device-voltage-high", f"highest {at}", high_v, device.most_v, "V", True, source)


def _contacts(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> Iterator[_Test]:
    """Every contact in the lock's feed carries all the current through it, and breaks the voltage behind it.

    A contact on an input carries less than a milliampere; no other arrangement would change it.
    """
    for place, contact in enumerate(rated_contacts(circuit, need.parts)):
        if not contact.in_feed:
            continue
        through_a = [v.contacts[place].most_a if v.contacts else None for v in volts]
        yield _Test(contact.test, f"through the {contact.what}", through_a, contact.carries_a, "A")
        across_v = [contact.most_v] * len(volts)
        yield _Test(f"{contact.test}-voltage", f"broken by the {contact.what}", across_v, contact.breaks_v, "V")


def _device_power(need: DoorNeed, circuit: DoorCircuit, volts: Sequence[DoorVoltages]) -> _Test:
    splitter = circuit.fed_by(DeviceRole.SPLITTER)
    number = (need.splitter.poe_class if need.splitter else None) if splitter else None
    if not splitter and need.controller is not None:
        number = need.controller.poe_class
    limit_w = POE_CLASSES[number].p_pd_w if number is not None else None
    what = f"class {number} device draws" if number is not None else "the device draws"
    return _Test("class-power", what, [v.pd_w for v in volts], limit_w, "W")
