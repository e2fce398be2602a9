"""The lines that `mutants.py` makes wrong are there; whether a test notices is for a long run."""

from __future__ import annotations

import pytest

from .mutants import ROOT, mutants, mutated


@pytest.mark.parametrize("mutant", mutants(), ids=lambda m: f"{m['file']}: {m['new'].strip()[:40]}")
def test_the_line_is_there_and_its_tests_are(mutant):
    assert mutated(mutant) != (ROOT / mutant["file"]).read_text("utf-8")
    assert all((ROOT / test.partition("::")[0]).is_file() for test in mutant["tests"])


def test_there_are_sixty():
    assert len(mutants()) >= 60
