"""Circuits are proven once a session: most of the time of a check is its proofs, and most tests' doors are wired alike."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import pytest

from riserkit.proofs import book
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.values import TopologyProof

_prove = book.prove
_replaced: list[object] = []
"""What the test that runs has replaced."""
_ABOVE = (
    "sys",
    "pathlib",
    "tempfile",
    *(f"riserkit.{room}" for room in ("drawings", "reports", "field", "results", "commands")),
)
"""What is built on proofs, or has no part in them: to replace something of it changes none."""
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
    for name in ("setattr", "delattr", "setitem", "delitem"):
        setattr(pytest.MonkeyPatch, name, _noted(getattr(pytest.MonkeyPatch, name)))


def forget() -> None:
    """Keep nothing of what is proven so far, for a run of many thousand different circuits."""
    _proven.clear()


def _noted(replace: Callable[..., None]) -> Callable[..., None]:
    """The same, which notes what is replaced, but for the environment and for code that only uses proofs."""

    def noting(patch: pytest.MonkeyPatch, target: object, *given: Any, **named: Any) -> None:
        names = (getattr(target, name, None) for name in ("__module__", "__name__"))
        where = target if isinstance(target, str) else next((n for n in names if isinstance(n, str)), "")
        if target is not os.environ and not where.startswith(_ABOVE):
            _replaced.append(target)
        replace(patch, target, *given, **named)

    return noting


def prove_afresh_where_code_is_replaced() -> None:
    """A test that replaces code must see what that changes: from there on nothing kept is used, and nothing is kept."""
    _replaced.clear()
