"""The order in which people look marks up: numbers in them count as numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

_PIECES = re.compile(r"[0-9]+|[^0-9]+")
_LEAST_RUN = 3


def natural_order(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key to sort by: words and numbers in turn, numbers before words.

    Examples:
        >>> sorted(["10", "101A", "2", "B1", "101"], key=natural_order)
        ['2', '10', '101', '101A', 'B1']
    """
    pieces = _PIECES.findall(text)
    return tuple((0, int(piece[:18]), piece[18:]) if piece.isdecimal() else (1, 0, piece) for piece in pieces)


def runs(names: Sequence[str]) -> tuple[str, ...]:
    """Names in their natural order; three or more that count on without a gap stand as the first and the last.

    Examples:
        >>> runs(["D-3", "D-1", "D-2", "D-7", "D-8", "X"])
        ('D-1 to D-3', 'D-7', 'D-8', 'X')
    """
    return tuple(text for run in _runs(sorted(names, key=natural_order)) for text in _shortened(run))


def _runs(ordered: Sequence[str]) -> Iterator[list[str]]:
    run = list(ordered[:1])
    for last, name in pairwise(ordered):
        if _counts_on(last, name):
            run.append(name)
        else:
            yield run
            run = [name]
    yield run


def _counts_on(last: str, name: str) -> bool:
    """The same words, and one number that is one more, written with as many digits."""
    before, after = _PIECES.findall(last), _PIECES.findall(name)
    unlike = [(a, b) for a, b in zip(before, after, strict=False) if a != b]
    if len(before) != len(after) or len(unlike) != 1:
        return False
    ((a, b),) = unlike
    return a.isdecimal() and b.isdecimal() and len(a) == len(b) and int(b[:18]) - int(a[:18]) == 1


def _shortened(run: Sequence[str]) -> Sequence[str]:
    return run if len(run) < _LEAST_RUN else (f"{run[0]} to {run[-1]}",)
