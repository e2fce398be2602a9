"""Things gathered by what they have in common."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


def grouped(pairs: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    """Values by key: keys in the order in which they are first met, the values of each in theirs.

    Examples:
        >>> grouped((mark[0], mark) for mark in ("A1", "B7", "A2"))
        {'A': ['A1', 'A2'], 'B': ['B7']}
    """
    found: dict[K, list[V]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return found
