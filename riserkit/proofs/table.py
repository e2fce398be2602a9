"""The truth table of a sound circuit, with what makes no difference left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.elimination import BoolArray
from riserkit.proofs.behaviour import ALARM, MOTION, OUTPUT, PORT_LOST, PRESSED, Behaviour
from riserkit.proofs.properties import lock_power_lost
from riserkit.proofs.values import TruthRow
from riserkit.proofs.words import STATE_WORDS

LOCKED, FREE, UNDECIDED = "locked", "released", "undecided"


@dataclass(frozen=True, slots=True)
class _Question:
    """Something that may matter: its two answers in words, and where it is the case, shape (states,)."""

    yes: str
    no: str
    mask: BoolArray


def truth_table(behaviour: Behaviour) -> tuple[TruthRow, ...]:
    """States against lock, for cases in which the controller does as it sees. Rows from the plainest answer down."""
    possible = behaviour.consistent[0]
    return tuple(_rows(behaviour, list(_questions(behaviour)), possible, ()))


def _questions(b: Behaviour) -> Iterator[_Question]:
    for name in (PRESSED, ALARM):
        if b.has(name):
            yield _Question(STATE_WORDS[name], "", b.on(name))
    lost = lock_power_lost(b)
    if lost is not None and not b.has(PORT_LOST):
        yield _Question("lock power lost", "", lost)
    elif lost is not None and (lost != b.on(PORT_LOST)).any():
        yield _Question("lock supply without mains and battery", "", lost)
        yield _Question("no power on the data cable", "", b.on(PORT_LOST))
    elif lost is not None:
        yield _Question("no power on the data cable", "", lost)
    if b.has(MOTION):
        yield _Question("REX active", "", b.on(MOTION))
    if b.has(OUTPUT):
        yield _Question("controller commands release", "controller commands lock", b.wants_release)
    for name in b.states[0]:
        if name in STATE_WORDS and name not in {PRESSED, ALARM, PORT_LOST, MOTION}:
            yield _Question(STATE_WORDS[name], f"not {STATE_WORDS[name]}", b.on(name))


def _rows(b: Behaviour, questions: list[_Question], cases: BoolArray, said: tuple[str, ...]) -> Iterator[TruthRow]:
    """Ask one thing after another until the lock stands alike in all cases left."""
    if not cases.any():
        return
    stands = _stands(b, cases)
    if stands or not questions:
        yield TruthRow(said or ("in every state",), stands or UNDECIDED)
        return
    first, rest = questions[0], questions[1:]
    yes, no = cases & first.mask, cases & ~first.mask
    if yes.any() and no.any() and not _same(b, rest, yes, no):
        yield from _rows(b, rest, yes, (*said, first.yes))
        yield from _rows(b, rest, no, (*said, first.no) if first.no else said)
        return
    yield from _rows(b, rest, cases, said)


def _stands(b: Behaviour, cases: BoolArray) -> str:
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
