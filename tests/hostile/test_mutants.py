"""Sites spoilt by chance: each is read or refused in words, and none brings a traceback, a hang or a number that is none.

A case that ever failed stands in `corpus/`; it is run with every push.
"""

from __future__ import annotations

import pytest

from riserkit import pipeline
from tests.hostile.bases import Files, starting_files
from tests.hostile.corpus import files_of, keep, kept, smallest
from tests.hostile.mutate import mutated
from tests.hostile.run import run
from tests.sweep import swept

SEEDS = 400
KEPT = kept()


@swept("first", range(0, SEEDS, 10), (0,), slow=(10,))
def test_spoilt_sites_are_read_or_refused(first):
    for seed in range(first, first + 10):
        outcome = run(mutated(seed))
        assert not outcome.failure, seed
        assert not outcome.unplaced, seed


@pytest.mark.parametrize("case", KEPT)
def test_what_failed_once_fails_no_more(case):
    assert not run(KEPT[case]).failure


def test_a_case_is_kept_as_small_as_it_fails(tmp_path):
    files: Files = {**starting_files(), "x.csv": b"a,b\n1,\xff\n2,3\n4,5\n"}
    least = smallest(files, lambda few: b"\xff" in few.get("x.csv", b""))
    path = keep("Some Error: of x", least, tmp_path)
    assert path.name == "some-error-of-x.json"
    assert files_of(path).keys() == {"x.csv"}


def test_the_site_that_is_spoilt_is_sound_and_seeds_repeat():
    outcome = run(starting_files())
    assert outcome.was_read
    assert not outcome.failure
    assert mutated(7) == mutated(7)
    assert len({str(mutated(seed)) for seed in range(50)}) > 40


def test_a_fault_would_be_seen(monkeypatch):
    monkeypatch.setattr(pipeline, "design", lambda *_: 1 / 0)
    assert run(starting_files()).failure.startswith("ZeroDivisionError in ")
