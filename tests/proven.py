"""Circuits are proven once a session: most of the time of a check is its proofs, and most tests' doors are wired alike."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from riserkit.kept import value_digest
from riserkit.proofs import book
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.values import TopologyProof

_prove = book.prove
_replaced: list[object] = []
"""What the test that runs has replaced of the code that proofs come from."""
_replaced_anywhere: list[object] = []
"""All that it has replaced."""
_ABOVE = (
    "sys",
    "pathlib",
    "tempfile",
    *(f"riserkit.{room}" for room in ("drawings", "reports", "field", "record", "results", "page", "commands")),
)
"""What is built on proofs, or has no part in them: to replace something of it changes none."""
_folder: list[Path] = []
_proven: dict[tuple[object, ...], TopologyProof] = {}


class UnnotedPatch(pytest.MonkeyPatch):  # type: ignore[misc] - final in name only
    """For what changes no proof and no sheet: it is not noted, so that what is kept is used."""

    setattr, delattr, setitem, delitem = (
        pytest.MonkeyPatch.setattr, pytest.MonkeyPatch.delattr, pytest.MonkeyPatch.setitem, pytest.MonkeyPatch.delitem
    )  # fmt: skip


def _once(extremes: Extremes, fail_safe: bool, temperatures_c: tuple[float, float]) -> TopologyProof:
    """What `prove` says of an equal circuit; errors are not kept. Circuits and proofs are frozen, so they can be shared."""
    if _replaced:
        return _prove(extremes, fail_safe, temperatures_c)
    key = (extremes, fail_safe, temperatures_c)
    if key not in _proven:
        _proven[key] = _of_any_worker(extremes, fail_safe, temperatures_c)
    return _proven[key]


def _of_any_worker(*asked: Any) -> TopologyProof:
    """What another process of this session has proven of an equal circuit, or a proof of this one's own."""
    digest = value_digest(asked) if _folder else ""
    if not digest:
        return _prove(*asked)
    path = _folder[0] / digest
    with suppress(OSError):
        told: TopologyProof = pickle.loads(path.read_bytes())
        return told
    proof = _prove(*asked)
    part = path.with_suffix(f".{os.getpid()}")
    with suppress(OSError):
        part.write_bytes(pickle.dumps(proof))
        part.replace(path)
    return proof


def keep_in(folder: Path) -> None:
    """A folder takes what is proven, for all processes of the session."""
    folder.mkdir(exist_ok=True)
    _folder[:] = [folder]


def prove_once() -> None:
    """From now on, books of proofs ask for each circuit once."""
    book.prove = _once
    for name in ("setattr", "delattr", "setitem", "delitem"):
        setattr(pytest.MonkeyPatch, name, _noted(getattr(pytest.MonkeyPatch, name)))


def forget() -> None:
    """Keep nothing of what is proven so far, for a run of many thousand different circuits."""
    _proven.clear()
    _folder.clear()


def _noted(replace: Callable[..., None]) -> Callable[..., None]:
    """The same, which notes what is replaced, but for the environment and for code that only uses proofs."""

    def noting(patch: pytest.MonkeyPatch, target: object, *given: Any, **named: Any) -> None:
        names = (getattr(target, name, None) for name in ("__module__", "__name__"))
        where = target if isinstance(target, str) else next((n for n in names if isinstance(n, str)), "")
        if target is not os.environ:
            _replaced_anywhere.append(target)
        if target is not os.environ and not where.startswith(_ABOVE):
            _replaced.append(target)
        replace(patch, target, *given, **named)

    return noting


def prove_afresh_where_code_is_replaced() -> None:
    """A test that replaces code must see what that changes: from there on nothing kept is used, and nothing is kept."""
    _replaced.clear()
    _replaced_anywhere.clear()


def anything_is_replaced() -> bool:
    """Whether the test that runs has replaced something, the environment aside."""
    return bool(_replaced_anywhere)
