"""The published examples of general diagnosis, and the theory against brute force."""

from __future__ import annotations

from itertools import chain, combinations

from hypothesis import given
from hypothesis import strategies as st

from riserkit.diagnosis.conflicts import minimal_diagnoses

POLYBOX = (frozenset({"A1", "M1", "M2"}), frozenset({"A1", "A2", "M1", "M3"}))
"""Three multipliers and two adders with outputs 10 and 12 where 12 and 12 were due: what cannot all be healthy."""


def _sets(found: tuple[frozenset[str], ...]) -> list[list[str]]:
    return [sorted(one) for one in found]


def test_three_multipliers_and_two_adders() -> None:
    """De Kleer and Williams 1987, section 2, and Reiter 1987."""
    assert _sets(minimal_diagnoses(POLYBOX)) == [["A1"], ["M1"], ["A2", "M2"], ["M2", "M3"]]


def test_no_conflict_blames_nothing() -> None:
    assert minimal_diagnoses(()) == (frozenset(),)


def test_a_bound_on_the_size_keeps_the_small_ones() -> None:
    assert _sets(minimal_diagnoses(POLYBOX, most=1)) == [["A1"], ["M1"]]


_SETS = st.lists(st.frozensets(st.sampled_from("abcdef"), min_size=1, max_size=4), max_size=6)


@given(_SETS)
def test_diagnoses_against_brute_force(conflicts: list[frozenset[str]]) -> None:
    """Minimal hitting sets by their definition: every subset of the components tried."""
    every = [frozenset(c) for c in chain.from_iterable(combinations("abcdef", n) for n in range(7))]
    hitting = [one for one in every if all(one & conflict for conflict in conflicts)]
    minimal = [one for one in hitting if not any(other < one for other in hitting)]
    assert set(minimal_diagnoses(conflicts)) == set(minimal)
