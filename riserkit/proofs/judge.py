"""Judges one property over the cases that it speaks of, and picks the simplest case against it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riserkit.circuits.elimination import BoolArray
from riserkit.proofs.behaviour import NO, YES, Behaviour
from riserkit.proofs.paths import counterexamples
from riserkit.proofs.values import Counterexample, Outcome, Property


@dataclass(frozen=True, slots=True)
class Claim:
    """A property as arrays of shape (faults, states).

    Args:
        name: of its rule.
        domain: cases that it speaks of.
        holds: cases in which it holds.
        passes, fails: the sentence for either outcome.
        released: where every lock is to be released; elsewhere it is to be locked. Shape as above, or one for all.
    """

    name: str
    domain: BoolArray
    holds: BoolArray
    passes: str
    fails: str
    released: BoolArray | bool = True


def judged(behaviour: Behaviour, claim: Claim) -> Property:
    """The property with its verdict; an empty domain is not evaluated, never passed."""
    against = claim.domain & ~claim.holds
    cases, failing = int(claim.domain.sum()), int(against.sum())
    if not cases:
        return Property(claim.name, Outcome.NOT_EVALUATED, "No state of the circuit tests it.")
    if not failing:
        return Property(claim.name, Outcome.PASS, claim.passes, cases)
    example = simplest(behaviour, against, np.broadcast_to(claim.released, against.shape))
    return Property(claim.name, Outcome.FAIL, claim.fails, cases, failing, example)


def simplest(behaviour: Behaviour, against: BoolArray, released: BoolArray) -> Counterexample:
    """The case with no fault if there is one, else an electrical one with the fewest states on."""
    rows, columns = np.nonzero(against)
    command = behaviour.circuit.command
    on = np.array([sum(state.values()) - state.get(command, False) for state in behaviour.states])
    order = np.lexsort((columns, rows, on[columns], rows > 0))
    row, column = int(rows[order[0]]), int(columns[order[0]])
    return at(behaviour, row, column, released=bool(released[row, column]))


def at(behaviour: Behaviour, row: int, column: int, *, released: bool) -> Counterexample:
    """The case of one fault and one state, at the first lock that does not stand as it should: released, or locked."""
    wrong = behaviour.locks[row, column] != (NO if released else YES)
    lock = behaviour.circuit.locks[int(np.argmax(wrong))]
    state, faults = behaviour.states[column], behaviour.faults[row]
    example, *worse = counterexamples(behaviour, state, faults, lock, (None, *behaviour.worst_cases))
    if example.lock_state != ("released" if released else "locked"):
        return example
    # At nominal values nothing is wrong: the worst case that shows it, by itself from rest, if one does.
    return next((one for one in worse if one.lock_state != example.lock_state), example)
