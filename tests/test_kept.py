"""Digests of values, and entries that were found by others."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cached_property
from typing import Any

import pytest

from riserkit.design import Design, design
from riserkit.findings import Finding, Severity, Verdict
from riserkit.kept import KeptWork, value_digest
from riserkit.plugin.read import read_site
from riserkit.wiring.values import DoorWiring
from tests.results.test_kept import FIRST_LOOK

FINDING = Finding(
    "channel-length", Verdict.PASS, Severity.ERROR, "1", "opening", "It fits.", "TIA-568", 80.0, 100.0, "m"
)


@pytest.fixture(scope="module")
def made() -> Design:
    """The smaller sample worked out."""
    return design(read_site(FIRST_LOOK))


def test_equal_values_have_one_digest_whatever_was_worked_out_from_them(made):
    again = design(read_site(FIRST_LOOK))
    for one, other in zip(made.doors, again.doors, strict=True):
        assert one.wiring.circuit is not None
        untouched = value_digest(other.wiring)
        assert "circuit" not in vars(other.wiring)
        assert value_digest(one.wiring) == untouched
        assert value_digest(one.wiring.circuit) == value_digest(other.wiring.circuit)
    assert isinstance(vars(DoorWiring)["circuit"], cached_property)
    assert len({value_digest(door.wiring.circuit) for door in made.doors}) > 1


@pytest.mark.parametrize("name", [field.name for field in fields(Finding)])
def test_every_field_counts(name):
    other: dict[str, Any] = {
        "verdict": Verdict.FAIL, "severity": Severity.NOTE, "value": 80.1, "limit": None, "margin": 0.0,
        "concerns": ("1",), "causes": ("1",), "serves": ("1",), "acceptance": "R. Ashdown", "harm": "code",
    }  # fmt: skip
    changed = replace(FINDING, **{name: other.get(name, "other")})
    assert value_digest(changed) != value_digest(FINDING)
    assert value_digest({"of": [(changed,)]}) != value_digest({"of": [(FINDING,)]})


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1, 1.0),
        (1, True),
        ("1", 1),
        (None, ""),
        ((1, 2), [1, 2]),
        ((1, (2, 3)), ((1, 2), 3)),
        (Severity.NOTE, "note"),
        (Severity.ERROR, Severity.NOTE),
        (frozenset({"a"}), frozenset({"b"})),
        ({"a": 1}, {"a": 2}),
        (0.1 + 0.2, 0.3),
    ],
)
def test_values_that_differ_have_other_digests(one, other):
    assert value_digest(one) != value_digest(other)
    assert value_digest(replace(FINDING, about=one)) != value_digest(replace(FINDING, about=other))


def test_a_set_counts_by_its_members_whatever_their_order():
    words = [f"word {n}" for n in range(50)]
    backwards: set[str] = set()
    for word in reversed(words):
        backwards.add(word)
    assert value_digest(set(words)) == value_digest(backwards) != value_digest(set(words[1:]))


def test_what_is_no_data_has_no_digest():
    ring: list[Any] = []
    ring.append(ring)
    assert [value_digest(one) for one in (lambda: 0, (1, lambda: 0), replace(FINDING, about=lambda: 0), ring)] == 4 * [
        ""
    ]


def _asked(record: KeptWork, outer: object, inner: object = 1) -> int:
    def work_out() -> int:
        return record.of("inner", inner, lambda: 2, int) + 1

    return record.of("outer", outer, work_out, int)


def test_what_something_was_found_by_is_kept_with_it():
    """Else a build that finds the whole would lose the parts, and the next, in which the whole has changed, work all of them out."""
    first = KeptWork()
    assert _asked(first, "a") == 3
    second = KeptWork(first.entries)
    assert second.of("outer", "a", lambda: pytest.fail("it is known"), int) == 3
    assert second.entries == first.entries
    third = KeptWork(second.entries)
    assert third.of("inner", 1, lambda: pytest.fail("it is known"), int) == 2


def test_a_list_of_parts_that_was_changed_is_not_believed():
    first = KeptWork()
    _asked(first, "a")
    (key,) = (key for key, entry in first.entries.items() if entry["what"] == "outer")
    for within in ("", "other", 7):
        spoilt = {**first.entries, key: {**first.entries[key], "within": within}}
        record = KeptWork(spoilt)  # type: ignore[arg-type]
        assert record.of("outer", "a", lambda: 4, int) == 4


def test_what_fails_within_leaves_no_trace_in_what_comes_after():
    record = KeptWork()
    with pytest.raises(ZeroDivisionError):
        record.of("outer", "a", lambda: 1 // 0, int)
    record.of("inner", 1, lambda: 2, int)
    record.of("outer", "b", lambda: 3, int)
    assert all("within" not in entry for entry in record.entries.values())
