"""The numbers that decide about a solved candidate, each as a reason with its limit."""

from __future__ import annotations

from riserkit.standards.poe import POE_CLASSES
from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.reason import Reason
from riserkit.wiring.values import DoorVoltages

_SLACK = 1e-9


def solved_reasons(need: DoorNeed, circuit: DoorCircuit, choice: Choice, volts: DoorVoltages) -> tuple[Reason, ...]:
    """Every numeric test of a candidate, passed or not."""
    return (
        *_lock_voltage(need, volts),
        *_limits(need, circuit, choice, volts),
        *_contact(need, circuit, volts),
        *_device_power(need, circuit, volts),
    )


def _number(name: str, value: float | None, limit: float | None, unit: str, what: str, *, most: bool = True) -> Reason:
    if value is None or limit is None:
        return Reason(name, None, what, value, limit, unit, most)
    passed = value <= limit + _SLACK if most else value >= limit - _SLACK
    return Reason(name, passed, what, value, limit, unit, most)


def _lock_voltage(need: DoorNeed, volts: DoorVoltages) -> tuple[Reason, ...]:
    lock = need.lock
    rated_v = lock.rated_v if lock else None
    low = None if lock is None or lock.tolerance_low is None or rated_v is None else rated_v * (1 - lock.tolerance_low)
    high = (
        None if lock is None or lock.tolerance_high is None or rated_v is None else rated_v * (1 + lock.tolerance_high)
    )
    return (
        _number("lock-voltage-low", volts.lock_low_v, low, "V", "lowest voltage at the lock", most=False),
        _number("lock-voltage-high", volts.lock_high_v, high, "V", "highest voltage at the lock"),
    )


def _limits(need: DoorNeed, circuit: DoorCircuit, choice: Choice, volts: DoorVoltages) -> tuple[Reason, ...]:
    found = []
    controller = need.controller
    if circuit.output and controller is not None:
        found.append(_number("output-limit", volts.output_a, controller.output_limit_a, "A", "lock output gives"))
    if circuit.auxiliary and controller is not None:
        found.append(
            _number("auxiliary-limit", volts.auxiliary_a, controller.auxiliary_limit_a, "A", "auxiliary output gives")
        )
    if circuit.supply:
        limit_a = need.splitter.output_a if circuit.supply.startswith("T1.") and need.splitter else None
        if circuit.supply.startswith("G1."):
            limit_a = choice.supply.part.output_a if choice.supply else None
        found.append(_number("supply-limit", volts.supply_a, limit_a, "A", "supply gives"))
    return tuple(found)


def _contact(need: DoorNeed, circuit: DoorCircuit, volts: DoorVoltages) -> tuple[Reason, ...]:
    if not circuit.relay:
        return ()
    part = need.voltage_relay if circuit.voltage_relay else need.relay
    own_supply = need.lock is not None and need.lock.own_supply
    through_a = 0.0 if own_supply else len(circuit.locks) * (volts.lock_a or 0.0)
    return (_number("relay-contact", through_a, part.contact_a if part else None, "A", "through the relay's contact"),)


def _device_power(need: DoorNeed, circuit: DoorCircuit, volts: DoorVoltages) -> tuple[Reason, ...]:
    splitter = circuit.supply.startswith("T1.")
    number = (need.splitter.poe_class if need.splitter else None) if splitter else None
    if not splitter and need.controller is not None:
        number = need.controller.poe_class
    limit_w = POE_CLASSES[number].p_pd_w if number is not None else None
    what = f"class {number} device draws" if number is not None else "the device draws"
    return (_number("class-power", volts.pd_w, limit_w, "W", what),)
