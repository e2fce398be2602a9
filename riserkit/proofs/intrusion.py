"""The properties that speak of single faults that leave a door unlocked, seen by the inputs or not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from riserkit.circuits.elimination import BoolArray, IntArray
from riserkit.circuits.faults import FaultKind
from riserkit.proofs.behaviour import NO, YES, Behaviour, sensor_powered
from riserkit.proofs.judge import at
from riserkit.proofs.values import (
    FAULT_LEAVES_UNLOCKED,
    UNDETECTED_FAULT,
    Outcome,
    Property,
)
from riserkit.proofs.words import plain_words
from riserkit.wiring.roles import ElementRole, StateRole

_TAKES_POWER = frozenset({FaultKind.CONDUCTOR_OPEN, FaultKind.CONTACT_OPEN, FaultKind.SUPPLY_DEAD})


def unlocking_faults(b: Behaviour) -> tuple[Property, Property]:
    """Single faults that leave the door unlocked unreported, and those of them that no input shows.

    Left out of the first are those that a fail-safe lock is meant to have, and those that the door input reports: it reads
    open while the controller commands the lock and the door is closed, as the lock's own contact in series with the door
    contact makes it.
    """
    words = unlocked_at_rest(b)
    rest = b.at_rest()
    if words:
        words += " Faults are not checked."
        return (
            Property(FAULT_LEAVES_UNLOCKED, Outcome.NOT_EVALUATED, words),
            Property(UNDETECTED_FAULT, Outcome.NOT_EVALUATED, words),
        )
    asked = ~b.consistent[:, rest]
    released = _released_state(b, rest)
    opened = np.where(asked, b.opened[:, released], b.opened[:, rest])
    kinds = [faults[0].kind if faults else None for faults in b.faults]
    stuck = np.array([kind is FaultKind.CONTACT_WELDED for kind in kinds])
    meant = asked & (_sensor_lost(b, rest) | np.array([kind in _TAKES_POWER for kind in kinds]))
    if b.fail_safe:
        meant |= ~asked & ~stuck
    door = b.reading(ElementRole.DOOR_INPUT)[:, rest]
    reported = ~asked & b.alive[:, rest] & (door[0] == YES) & (door == NO)
    left = opened & ~meant & ~reported
    unseen = b.alive[:, rest].copy()
    for role in (ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT):
        reading = b.reading(role)[:, rest]
        unseen &= reading == reading[0]
    columns = np.where(asked, released, rest)
    return (
        replace(
            _counted(b, FAULT_LEAVES_UNLOCKED, left, columns, _leaves(opened & ~meant & reported)),
            requests=int((left & asked).sum()),
        ),
        _counted(
            b, UNDETECTED_FAULT, opened & unseen, columns, "leave the door unlocked while both inputs read normal"
        ),
    )


def _leaves(reported: BoolArray) -> str:
    return "leave the door unlocked" + (" and unreported at the door input" if reported.any() else "")


def unlocked_at_rest(b: Behaviour) -> str:
    """Why nothing can be said of what unlocks the door; empty where the healthy circuit is surely locked at rest."""
    rest = b.at_rest()
    if not b.locked[0, rest]:
        return "At rest the healthy circuit may be unlocked."
    if b.request[0, rest] != NO:
        return "At rest the REX/AUX input reads, or may read, a request to exit."
    return ""


def _sensor_lost(b: Behaviour, rest: int) -> BoolArray:
    """Faults under which the REX sensor has lost its supply, and asks for release as it should."""
    powered = sensor_powered(b)
    lost: BoolArray = np.zeros(len(b.faults), dtype=np.bool_) if powered is None else powered[:, rest] == NO
    return lost


def _released_state(b: Behaviour, rest: int) -> int:
    """The quiet state in which the controller releases."""
    return b.states.index({**b.states[rest], **dict.fromkeys(b.names(StateRole.COMMAND), b.release_value)})


def _counted(b: Behaviour, name: str, found: BoolArray, columns: IntArray, what: str) -> Property:
    total = len(b.faults) - 1
    faults = tuple(b.faults[k][0] for k in np.flatnonzero(found))
    if not faults:
        return Property(name, Outcome.PASS, f"None of {total} single faults {_singular(what)}.", total)
    first = int(np.flatnonzero(found)[0])
    example = at(b, first, int(columns[first]), released=False)
    words = f"{len(faults)} of {total} single faults {what}."
    phrases = tuple(plain_words(b.circuit.netlist, (fault,)) for fault in faults)
    return Property(name, Outcome.FAIL, words, total, len(faults), example, faults, fault_phrases=phrases)


def _singular(what: str) -> str:
    first, _, rest = what.partition(" ")
    return f"{first}s {rest}"
