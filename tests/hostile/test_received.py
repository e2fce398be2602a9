"""What is imported and what is returned, spoilt by chance: read or refused in words, the same again the second time."""

from __future__ import annotations

import pytest

from tests.hostile.received import document, returned
from tests.hostile.run import Outcome, run_import, run_return
from tests.sweep import swept

SEEDS = 400
FAILED_ONCE = (933, 3956, 4154, 4433, 4, 7, 8, 30, 103, 143, 151, 179, 244, 304, 711, 1085, 810066)
"""Broken archives, rows repeated without end, things of no known kind on a plan, a drawing without a head, places as far as
the stars."""


@swept("first", range(0, SEEDS, 20), (0,))
def test_documents_are_read_or_refused(first):
    for seed in range(first, first + 20):
        assert not run_import(*document(seed)).failure, seed


@pytest.mark.parametrize("seed", FAILED_ONCE)
def test_documents_that_failed_once_fail_no_more(seed):
    assert not run_import(*document(seed)).failure


@swept("first", range(0, SEEDS, 20), (0,))
def test_what_comes_back_is_taken_or_refused(first):
    for seed in range(first, first + 20):
        assert not run_return(*returned(seed)).failure, seed


def test_a_fault_would_be_seen(monkeypatch):
    def fails(*_: object) -> Outcome:
        raise ZeroDivisionError

    monkeypatch.setattr("tests.hostile.run.import_documents", fails)
    monkeypatch.setattr("tests.hostile.run.return_site", fails)
    assert run_import("doors.csv", b"").failure.startswith("ZeroDivisionError in ")
    assert run_return("doors.csv", b"").failure.startswith("ZeroDivisionError in ")


def test_seeds_repeat_and_some_of_them_are_read():
    assert document(3) == document(3)
    assert returned(3) == returned(3)
    assert any(run_return(*returned(seed)).was_read for seed in range(20))
