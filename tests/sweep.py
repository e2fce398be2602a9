"""Which cases run on every push, and which with `pytest --sweep` only."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable
from typing import Any

import pytest

SWEEPS = "RISERKIT_TESTS_SWEEP"
"""Set in the environment while a sweep runs."""


def tried(on_push: int, in_sweep: int) -> int:
    """How many random cases a property is tried on."""
    return in_sweep if os.environ.get(SWEEPS) else on_push


def swept(
    name: str,
    cases: Iterable[Any],
    push: Collection[Any],
    slow: Collection[Any] = (),
    ids: Callable[[Any], str] | None = None,
) -> pytest.MarkDecorator:
    """Parametrize by `cases`; those in `push` run each time, others in `slow` with `--slow`, the rest with `--sweep`.

    Raises:
        LookupError: no case would run each time, or one of those named is none of the cases.
    """
    every = list(cases)
    if missing := [case for case in (*push, *slow) if case not in every]:
        raise LookupError(f"not among the cases of {name}: {missing}")
    if not push:
        raise LookupError(f"no case of {name} runs each time")
    asked_for = {True: pytest.mark.slow, False: pytest.mark.sweep}
    marked = [c if c in push else pytest.param(c, marks=asked_for[c in slow]) for c in every]
    return pytest.mark.parametrize(name, marked, ids=ids)
