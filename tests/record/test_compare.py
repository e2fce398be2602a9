"""Was and is: empty for the same, the same from both sides, and enough to turn the one into the other."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.record.compare import Difference, FactChange, compare
from riserkit.record.facts import Facts
from tests.sweep import tried

_NAMES = st.sampled_from(["1", "2", "10", "101", "A"])
_TEXTS = st.sampled_from(["x", "y", "z"])
_ROWS = st.dictionaries(st.sampled_from(["lock", "length_m", "from"]), _TEXTS, max_size=3)
_FACTS = st.dictionaries(st.sampled_from(["openings", "cables", "ports"]), st.dictionaries(_NAMES, _ROWS, max_size=4))


def _without_empty(facts: Facts) -> Facts:
    """A kind of which nothing is said is the same as one that is not there."""
    return {kind: rows for kind, rows in facts.items() if rows}


@given(_FACTS)
def test_nothing_differs_from_itself(facts: Facts) -> None:
    assert not compare(facts, facts)


@given(_FACTS, _FACTS)
@settings(max_examples=tried(100, 300))
def test_it_is_the_same_from_both_sides(was: Facts, now: Facts) -> None:
    forth, back = compare(was, now), compare(now, was)
    assert _sorted(back) == _sorted(forth.reverse)


def _sorted(difference: Difference) -> list[tuple[str, str, str, list[FactChange]]]:
    found = [(s.kind, s.subject, s.change, sorted(s.facts, key=lambda f: f.field)) for s in difference.subjects]
    return sorted(found, key=lambda s: s[:3])


@given(_FACTS, _FACTS)
@settings(max_examples=tried(100, 300))
def test_it_turns_the_one_into_the_other(was: Facts, now: Facts) -> None:
    assert _without_empty(_applied(was, compare(was, now))) == _without_empty(now)


def _applied(facts: Facts, difference: Difference) -> Facts:
    """The facts with a difference carried out; it must have been taken from these."""
    found = {kind: dict(rows) for kind, rows in facts.items()}
    for subject in difference.subjects:
        rows = found.setdefault(subject.kind, {})
        assert (subject.subject in rows) == (subject.change != "added")
        row = dict(rows.pop(subject.subject, {}))
        for fact in subject.facts:
            assert row.pop(fact.field, "") == fact.was
            if fact.is_now:
                row[fact.field] = fact.is_now
        if subject.change != "removed":
            rows[subject.subject] = row
    return found


def test_was_and_is_stand_by_field() -> None:
    was = {"openings": {"101": {"lock": "a", "name": "Store"}, "102": {"lock": "a"}}}
    now = {"openings": {"101": {"lock": "b", "name": "Store", "note": "new"}, "103": {"lock": "c"}}}
    found = compare(was, now)
    assert [(s.subject, s.change) for s in found.subjects] == [("101", "changed"), ("102", "removed"), ("103", "added")]
    changed = found.subjects[0].facts
    assert [(f.field, f.was, f.is_now) for f in changed] == [("lock", "a", "b"), ("note", "", "new")]
