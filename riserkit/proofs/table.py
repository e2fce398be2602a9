"""The truth table of a healthy circuit, with what makes no difference left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.elimination import BoolArray
from riserkit.proofs.behaviour import Behaviour
from riserkit.proofs.properties import lock_power_lost
from riserkit.proofs.values import TruthRow
from riserkit.proofs.words import outside_words
from riserkit.wiring.roles import StateRole

LOCKED, FREE, UNDECIDED = "locked", "released", "undecided"


@dataclass(frozen=True, slots=True)
class _Question:
    """Something that may matter: its two answers in words, and where it is the case, shape (states,)."""

    yes: str
    no: str
    mask: BoolArray


def truth_table(behaviour: Behaviour) -> tuple[TruthRow, ...]:
    """States against lock, for cases in which the controller does as it sees. Rows from the simplest answer down."""
    possible = behaviour.consistent[0]
    return tuple(_rows(behaviour, list(_questions(behaviour)), possible, ()))


def _questions(b: Behaviour) -> Iterator[_Question]:
    for role in (StateRole.RELEASE_PRESSED, StateRole.FIRE_ALARM):
        yield from _each(b, role)
    lost, unplugged = lock_power_lost(b), b.on(StateRole.NETWORK_POWER_LOST)
    if lost is not None and not b.has(StateRole.NETWORK_POWER_LOST):
        yield _Question("lock power lost", "", lost)
    elif lost is not None and (lost != unplugged).any():
        yield _Question("lock supply without mains and battery", "", lost)
        yield _Question("no power on the PoE cable", "", unplugged)
    elif lost is not None:
        yield _Question("no power on the PoE cable", "", lost)
    yield from _each(b, StateRole.MOTION)
    if b.has(StateRole.COMMAND):
        yield _Question("controller releases", "controller locks", b.wants_release)
    for role in (StateRole.DOOR_OPEN, StateRole.AUXILIARY_ACTIVE, StateRole.BATTERY_LOST, StateRole.MAINS_LOST):
        for one in _each(b, role):
            yield _Question(one.yes, f"not {one.yes}", one.mask)


def _each(b: Behaviour, role: StateRole) -> Iterator[_Question]:
    for name in b.names(role):
        mask = np.array([state[name] for state in b.states], dtype=np.bool_)
        yield _Question(outside_words(b.circuit.netlist, name), "", mask)


def _rows(b: Behaviour, questions: list[_Question], cases: BoolArray, said: tuple[str, ...]) -> Iterator[TruthRow]:
    """Ask one thing after another until the lock is in one state in all cases left."""
    if not cases.any():
        return
    lock_state = _lock_state(b, cases)
    if lock_state or not questions:
        yield TruthRow(said or ("in every state",), lock_state or UNDECIDED)
        return
    first, rest = questions[0], questions[1:]
    yes, no = cases & first.mask, cases & ~first.mask
    if yes.any() and no.any() and not _same(b, rest, yes, no):
        yield from _rows(b, rest, yes, (*said, first.yes))
        yield from _rows(b, rest, no, (*said, first.no) if first.no else said)
        return
    yield from _rows(b, rest, cases, said)


def _lock_state(b: Behaviour, cases: BoolArray) -> str:
    if (b.locked[0] | ~cases).all():
        return LOCKED
    if (b.released[0] | ~cases).all():
        return FREE
    return ""


def _same(b: Behaviour, rest: list[_Question], yes: BoolArray, no: BoolArray) -> bool:
    """Whether an answer makes no difference: every combination of the rest has the lock alike."""
    masks = np.array([q.mask for q in rest], dtype=np.bool_).reshape(len(rest), len(yes))
    halves = []
    for cases in (yes, no):
        rows = {(masks[:, k].tobytes(), bool(b.locked[0, k]), bool(b.released[0, k])) for k in np.flatnonzero(cases)}
        halves.append(rows)
    return halves[0] == halves[1]
