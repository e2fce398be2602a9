"""The published examples of general diagnosis, and the theory against brute force."""

from __future__ import annotations

from itertools import chain, combinations

from hypothesis import given
from hypothesis import strategies as st

from riserkit.diagnosis.conflicts import Relation, minimal_conflicts, minimal_diagnoses


def _multiplier(name: str, out: str, a: str, b: str) -> list[Relation]:
    return [
        Relation(name, out, (a, b), lambda x, y: x * y),
        Relation(name, a, (out, b), lambda z, y: z / y if y else None),
        Relation(name, b, (out, a), lambda z, x: z / x if x else None),
    ]


def _adder(name: str, out: str, a: str, b: str) -> list[Relation]:
    return [
        Relation(name, out, (a, b), lambda x, y: x + y),
        Relation(name, a, (out, b), lambda z, y: z - y),
        Relation(name, b, (out, a), lambda z, x: z - x),
    ]


POLYBOX = [
    *_multiplier("M1", "X", "A", "C"),
    *_multiplier("M2", "Y", "B", "D"),
    *_multiplier("M3", "Z", "C", "E"),
    *_adder("A1", "F", "X", "Y"),
    *_adder("A2", "G", "Y", "Z"),
]
INPUTS = {"A": 3.0, "B": 2.0, "C": 2.0, "D": 3.0, "E": 3.0}


def _sets(found: tuple[frozenset[str], ...]) -> list[list[str]]:
    return [sorted(one) for one in found]


def test_three_multipliers_and_two_adders() -> None:
    """De Kleer and Williams 1987, section 2 (and Reiter 1987): outputs 10 and 12 where 12 and 12 were due."""
    conflicts = minimal_conflicts(POLYBOX, {**INPUTS, "F": 10.0, "G": 12.0})
    assert _sets(conflicts) == [["A1", "M1", "M2"], ["A1", "A2", "M1", "M3"]]
    assert _sets(minimal_diagnoses(conflicts)) == [["A1"], ["M1"], ["A2", "M2"], ["M2", "M3"]]


def test_healthy_outputs_are_no_conflict() -> None:
    conflicts = minimal_conflicts(POLYBOX, {**INPUTS, "F": 12.0, "G": 12.0})
    assert conflicts == ()
    assert minimal_diagnoses(conflicts) == (frozenset(),)


def test_a_bound_on_the_size_keeps_the_small_ones() -> None:
    conflicts = minimal_conflicts(POLYBOX, {**INPUTS, "F": 10.0, "G": 12.0})
    assert _sets(minimal_diagnoses(conflicts, most=1)) == [["A1"], ["M1"]]


_SETS = st.lists(st.frozensets(st.sampled_from("abcdef"), min_size=1, max_size=4), max_size=6)


@given(_SETS)
def test_diagnoses_against_brute_force(conflicts: list[frozenset[str]]) -> None:
    """Minimal hitting sets by their definition: every subset of the components tried."""
    every = [frozenset(c) for c in chain.from_iterable(combinations("abcdef", n) for n in range(7))]
    hitting = [one for one in every if all(one & conflict for conflict in conflicts)]
    minimal = [one for one in hitting if not any(other < one for other in hitting)]
    assert set(minimal_diagnoses(conflicts)) == set(minimal)
