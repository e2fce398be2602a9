"""Judging a property over its cases: nothing to judge is no pass, and the simplest case comes first."""

from __future__ import annotations

import numpy as np
import pytest

from riserkit.proofs.behaviour import ROOM_C, single_circuit, solve_door
from riserkit.proofs.judge import Claim, judged
from riserkit.proofs.values import Outcome


@pytest.fixture(scope="module")
def seen(lab):
    return solve_door(single_circuit(lab.circuit()), True, ROOM_C)


def claim(seen, domain, holds):
    shape = seen.locked.shape
    return Claim("any", np.broadcast_to(domain, shape), np.broadcast_to(holds, shape), "holds", "fails")


def test_nothing_to_judge_is_not_evaluated(seen):
    found = judged(seen, claim(seen, False, True))
    assert (found.outcome, found.cases, found.counterexample) == (Outcome.NOT_EVALUATED, 0, None)


def test_every_case_counts(seen):
    found = judged(seen, claim(seen, True, True))
    assert (found.outcome, found.cases) == (Outcome.PASS, seen.locked.size)


def test_one_case_against_it_is_enough_and_is_the_one_told(seen):
    holds = np.ones(seen.locked.shape, dtype=bool)
    holds[5, 3] = False
    found = judged(seen, claim(seen, True, holds))
    assert (found.outcome, found.failing) == (Outcome.FAIL, 1)
    assert found.counterexample.state == seen.states[3]
    assert found.counterexample.faults == seen.faults[5]


def test_the_simplest_case_has_nothing_at_fault_and_few_states_on(seen):
    found = judged(seen, claim(seen, True, False))
    assert found.failing == seen.locked.size
    assert found.counterexample.faults == ()
    assert not any(on for name, on in found.counterexample.state.items() if name != "K1.output")
