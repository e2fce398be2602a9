"""The properties that speak of people getting out and of the lock following its controller."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Netlist
from riserkit.proofs.behaviour import NO, YES, Behaviour, landed_at, landed_on, sensor_powered
from riserkit.proofs.judge import Claim, at, judged
from riserkit.proofs.values import (
    FAIL_SECURE_ON_POWER_LOSS,
    LOCK_FOLLOWS_CONTROLLER,
    RELEASE_BY_HAND,
    RELEASE_ON_FIRE_ALARM,
    RELEASE_ON_POWER_LOSS,
    RELEASE_ON_SENSOR_LOSS,
    Outcome,
    Property,
)
from riserkit.wiring.roles import DeviceRole, StateRole

_WIRES = frozenset({FaultKind.CONDUCTOR_OPEN, FaultKind.CONDUCTORS_SHORTED, FaultKind.CONDUCTOR_EARTHED})


def properties_of(behaviour: Behaviour) -> tuple[Property, ...]:
    """Every property of this kind."""
    obeys = lock_follows_controller(behaviour)
    return (
        obeys,
        release_by_hand(behaviour),
        release_on_sensor_loss(behaviour, obeys),
        release_on_power_loss(behaviour),
        release_on_fire_alarm(behaviour),
        stays_locked(behaviour),
    )


def lock_follows_controller(b: Behaviour) -> Property:
    """Sound, powered and left alone, the lock does what the controller wants."""
    if not b.has(StateRole.COMMAND):
        return _not_applicable(LOCK_FOLLOWS_CONTROLLER, "No controller commands this lock.")
    usual = b.powers_on & ~b.on(StateRole.RELEASE_PRESSED) & ~b.on(StateRole.FIRE_ALARM)
    domain = _rows(b, sound=True) & usual & b.consistent
    standing = standing_request(b)
    if standing is not None:
        return standing
    # A door that falls open without its sensor's request is another rule's; what is commanded to lock, nobody near, locks.
    domain &= b.wants_release | ~b.on(StateRole.MOTION)
    holds = np.where(b.wants_release, b.released, b.locked)
    return judged(
        b, Claim(LOCK_FOLLOWS_CONTROLLER, domain, holds, "The lock follows the controller, checked without faults.",
                 "The lock does not follow the controller.", b.wants_release),
    )  # fmt: skip


def standing_request(b: Behaviour) -> Property | None:
    """The property `lock-follows-controller` where the second input asks, or may ask, for release while nobody does."""
    if not b.has(StateRole.COMMAND):
        return None
    quiet = _rows(b, sound=True) & b.quiet & ~b.wants_release
    asks = b.request != NO
    if not (quiet & asks).any():
        return None
    surely = bool((b.request[quiet] == YES).all())
    words = "The REX/AUX input reads a request to exit at rest: the controller never locks the door."
    if not surely:
        words = (
            "The REX/AUX input may read a request to exit at rest: whether the controller locks the door is not"
            " decided by the values stated."
        )
    return judged(b, Claim(LOCK_FOLLOWS_CONTROLLER, quiet, ~asks, "", words))


def release_by_hand(b: Behaviour) -> Property:
    """With the manual release operated, no lock has power, whatever else is at fault."""
    if not b.has(StateRole.RELEASE_PRESSED):
        return _lacking(b, RELEASE_BY_HAND, "The circuit has no manual release.", "manual release")
    domain = _rows(b, but=_own_faults(b, DeviceRole.MANUAL_RELEASE)) & b.on(StateRole.RELEASE_PRESSED)
    passes = (
        "The manual release breaks lock power itself, whatever the controller does and under every single fault but its"
        " own: its contact welded, or its two conductors shorted together, is not judged."
    )
    fails = "With the manual release pressed the lock stays powered."
    return judged(b, Claim(RELEASE_BY_HAND, domain, b.released, passes, fails))


def release_on_sensor_loss(b: Behaviour, obeys: Property) -> Property:
    """Whoever approaches, and a sensor that has lost its supply, unlocks the door; so it does when its signal is lost."""
    powered = sensor_powered(b)
    if powered is None:
        words = "The circuit has no powered REX sensor whose loss could release the lock."
        return _lacking(b, RELEASE_ON_SENSOR_LOSS, words, "contact of a powered REX sensor")
    if obeys.outcome is Outcome.FAIL:
        words = "The lock does not follow the controller; a request cannot be checked."
        return Property(RELEASE_ON_SENSOR_LOSS, Outcome.NOT_EVALUATED, words)
    sound = _rows(b, sound=True)
    lost = ~b.on(StateRole.MOTION) & (powered == NO) & (sound | b.powers_on)
    signal = b.on(StateRole.MOTION) & b.powers_on & (sound | _rows(b, only=_signal_faults(b)))
    domain = (lost | signal) & b.consistent & ~b.on(StateRole.RELEASE_PRESSED) & ~b.on(StateRole.FIRE_ALARM)
    passes = (
        "The door unlocks for whoever approaches, and when the sensor loses its supply or its signal; a contact of the sensor"
        " that sticks the other way is not judged."
    )
    fails = "The lock stays powered when the REX sensor loses its supply or its signal."
    return judged(b, Claim(RELEASE_ON_SENSOR_LOSS, domain, b.released, passes, fails))


def release_on_power_loss(b: Behaviour) -> Property:
    """With the lock's own power lost the door is released."""
    lost = lock_power_lost(b)
    if lost is None:
        return Property(
            RELEASE_ON_POWER_LOSS, Outcome.NOT_EVALUATED, "The circuit does not state where lock power is lost."
        )
    wires = tuple(k for k, faults in enumerate(b.faults) if not faults or faults[0].kind in _WIRES)
    domain = _rows(b, only=wires) & lost
    passes = (
        "Loss of lock power releases the door, with any one conductor open, shorted or earthed; stuck contacts and dead"
        " supplies besides are not judged."
    )
    fails = "The lock is not released when its power is lost."
    if not b.fail_safe:
        fails = "The lock is fail-secure: without power it stays locked."
    return judged(b, Claim(RELEASE_ON_POWER_LOSS, domain, b.released, passes, fails))


def release_on_fire_alarm(b: Behaviour) -> Property:
    """In alarm the lock is without power, whatever else is at fault."""
    if not b.has(StateRole.FIRE_ALARM):
        return _lacking(b, RELEASE_ON_FIRE_ALARM, "The circuit has no fire alarm relay.", "fire alarm relay")
    domain = _rows(b, but=_own_faults(b, DeviceRole.FIRE_RELAY)) & b.on(StateRole.FIRE_ALARM)
    passes = (
        "The fire alarm relay releases the door, whatever the controller does and under every single fault but its own:"
        " its contact welded, or its two conductors shorted together, is not judged."
    )
    fails = "In alarm the lock is not released."
    return judged(b, Claim(RELEASE_ON_FIRE_ALARM, domain, b.released, passes, fails))


def stays_locked(b: Behaviour) -> Property:
    """A fail-secure lock stays locked when power fails, all of it or some."""
    if b.fail_safe:
        return _not_applicable(FAIL_SECURE_ON_POWER_LOSS, "The lock is fail-safe: without power it is released.")
    calm = ~b.powers_on & ~b.wants_release & ~b.on(StateRole.RELEASE_PRESSED) & ~b.on(StateRole.FIRE_ALARM)
    domain = _rows(b, sound=True) & calm & b.consistent
    passes = "The door stays locked when any or all power is lost, checked without faults besides."
    return judged(
        b,
        Claim(
            FAIL_SECURE_ON_POWER_LOSS,
            domain,
            b.locked,
            passes,
            "A power loss unlocks the door.",
            False,
        ),
    )


def lock_power_lost(b: Behaviour) -> BoolArray | None:
    """States in which the source that feeds the lock is dead; None when no outside state says so."""
    if b.has(StateRole.MAINS_LOST):
        lost = b.on(StateRole.MAINS_LOST)
        return lost & b.on(StateRole.BATTERY_LOST) if b.has(StateRole.BATTERY_LOST) else lost
    return b.on(StateRole.NETWORK_POWER_LOST) if b.has(StateRole.NETWORK_POWER_LOST) else None


def _rows(
    b: Behaviour, *, sound: bool = False, but: tuple[int, ...] = (), only: tuple[int, ...] | None = None
) -> BoolArray:
    """Faults taken into account, shape (faults, states): the healthy circuit alone, all but some, or some only."""
    rows = np.ones(len(b.faults), dtype=np.bool_)
    if sound or only is not None:
        rows[:] = False
        rows[list(only) if only is not None else [0]] = True
    rows[list(but)] = False
    return np.repeat(rows[:, None], len(b.states), axis=1)


def _own_faults(b: Behaviour, role: DeviceRole) -> tuple[int, ...]:
    """Faults that bridge a device's own contact: welded, or its two conductors shorted together."""
    return tuple(k for k, faults in enumerate(b.faults) if faults and _bridges(b.circuit.netlist, faults[0], role))


def _bridges(netlist: Netlist, fault: Fault, role: DeviceRole) -> bool:
    names = [f"{c.ref}.{e.name}" for c in netlist.devices(role) for e in c.elements]
    if fault.kind is FaultKind.CONTACT_WELDED:
        return fault.subjects[0] in names
    if fault.kind is not FaultKind.CONDUCTORS_SHORTED:
        return False
    return any(set(fault.subjects) <= landed_on(netlist, *netlist.ends(name)) for name in names)


def _signal_faults(b: Behaviour) -> tuple[int, ...]:
    """Faults that take the sensor's signal away: one of its conductors open, or one of its contacts stuck open."""
    netlist = b.circuit.netlist
    own = landed_at(netlist, DeviceRole.REX_SENSOR)
    contacts = {f"{c.ref}.{e.name}" for c in netlist.devices(DeviceRole.REX_SENSOR) for e in c.elements}
    return tuple(
        k
        for k, faults in enumerate(b.faults)
        if faults
        and (
            (faults[0].kind is FaultKind.CONDUCTOR_OPEN and faults[0].subjects[0] in own)
            or (faults[0].kind is FaultKind.CONTACT_OPEN and faults[0].subjects[0] in contacts)
        )
    )


def _lacking(b: Behaviour, name: str, words: str, what: str) -> Property:
    """A way of release that the circuit has nothing for; where a lock is fed at rest, that case shows what is missing."""
    example = at(b, 0, b.at_rest(), released=True)
    if not example.path:
        return _not_applicable(name, words)
    example = replace(example, words=f"{example.words}; no {what} is in this path")
    return replace(_not_applicable(name, words), counterexample=example)


def _not_applicable(name: str, words: str) -> Property:
    return Property(name, Outcome.NOT_APPLICABLE, words)
