"""Circuits are proven once a session: most of the time of a check is its proofs, and most tests' doors are wired alike."""

from __future__ import annotations

import pytest

from riserkit.proofs import book
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.values import TopologyProof

_prove = book.prove
_replaced: list[pytest.Item] = []
"""The test that runs, where it replaces code."""
_proven: dict[tuple[object, ...], TopologyProof] = {}


def _once(extremes: Extremes, fail_safe: bool, temperatures_c: tuple[float, float]) -> TopologyProof:
    """What `prove` says of an equal circuit; errors are not kept. Circuits and proofs are frozen, so they can be shared."""
    if _replaced:
        return _prove(extremes, fail_safe, temperatures_c)
    key = (extremes, fail_safe, temperatures_c)
    if key not in _proven:
        _proven[key] = _prove(extremes, fail_safe, temperatures_c)
    return _proven[key]


def prove_once() -> None:
    """From now on, books of proofs ask for each circuit once."""
    book.prove = _once


def forget() -> None:
    """Keep nothing of what is proven so far, for a run of many thousand different circuits."""
    _proven.clear()


def prove_afresh_where_code_is_replaced(item: pytest.Item) -> None:
    """A test that replaces code must see what that changes: nothing kept is used in it, and nothing of it is kept."""
    _replaced[:] = [item] if "monkeypatch" in getattr(item, "fixturenames", ()) else []
