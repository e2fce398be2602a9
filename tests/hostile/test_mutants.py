"""Sites spoilt by chance: each is read or refused in words, and none brings a traceback, a hang or a number that is none.

A seed that ever failed is added to `FAILED_ONCE`; it is run with every push.
"""

from __future__ import annotations

import pytest

from riserkit import pipeline
from tests.hostile.mutate import mutated, starting_files
from tests.hostile.run import run
from tests.sweep import swept

FAILED_ONCE: tuple[int, ...] = ()
SEEDS = 200


@swept("first", range(0, SEEDS, 20), (0, 100))
def test_spoilt_sites_are_read_or_refused(first):
    failed = {seed: found for seed in range(first, first + 20) if (found := run(mutated(seed)).failure)}
    assert not failed


@pytest.mark.parametrize("seed", FAILED_ONCE)
def test_what_failed_once_fails_no_more(seed):
    assert not run(mutated(seed)).failure


def test_the_site_that_is_spoilt_is_sound_and_seeds_repeat():
    outcome = run(starting_files())
    assert outcome.was_read
    assert not outcome.failure
    assert mutated(7) == mutated(7)
    assert len({str(mutated(seed)) for seed in range(50)}) > 40


def test_a_fault_would_be_seen(monkeypatch):
    monkeypatch.setattr(pipeline, "design", lambda *_: 1 / 0)
    assert run(starting_files()).failure.startswith("ZeroDivisionError in ")
