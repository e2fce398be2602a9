"""Which nodes of a circuit are one part by what conducts, in many cases at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import BoolArray, IntArray
from riserkit.circuits.topology import Topology

PartArray = npt.NDArray[np.int16]
"""The part of a circuit that nodes are in, each by its first node."""
_PAST: Final = int(np.iinfo(np.int16).max)


def parts_of(topology: Topology, firm: BoolArray) -> PartArray:
    """The part that each node is in, by its first node, shape (nodes, cases).

    Many cases have the same branches that conduct: the parts of each such pattern are worked out once.
    """
    first, pattern = alike(np.ascontiguousarray(np.packbits(firm, axis=0).T))
    return _parts_of(topology, firm[:, first])[:, pattern]


def _parts_of(topology: Topology, firm: BoolArray) -> PartArray:
    """What conducts in all cases is joined once; the parts are then put together by what conducts in some."""
    branches = topology.branches
    always = firm.all(axis=1)
    whole = _joined_up(len(topology.nodes), [(branches[k].a, branches[k].b) for k in np.flatnonzero(always).tolist()])
    part = np.repeat(whole.astype(np.int16)[:, None], firm.shape[1], axis=1)
    some = [
        k for k in np.flatnonzero(firm.any(axis=1) & ~always).tolist() if whole[branches[k].a] != whole[branches[k].b]
    ]
    # where a line does not conduct, its other end counts as a node past all others: no mask, so that whole rows go at once
    ends = [(part[whole[branches[k].a]], part[whole[branches[k].b]]) for k in some]
    past = np.where(firm[some], 0, _PAST).astype(np.int16)
    lines, seen = [(a, b, none) for (a, b), none in zip(ends, past, strict=True)], np.empty_like(part[0])
    while lines:
        before = part.copy()
        for a, b, none in lines:
            np.bitwise_or(b, none, out=seen)
            np.minimum(a, seen, out=a)
            np.bitwise_or(a, none, out=seen)
            np.minimum(b, seen, out=b)
        if np.array_equal(before, part):
            break
        lines.reverse()
    joined: PartArray = part[whole]
    return joined


def _joined_up(count: int, lines: Sequence[tuple[int, int]]) -> IntArray:
    """The first node of the part that each node is in, shape (nodes,)."""
    first, changed = list(range(count)), True
    while changed:
        changed = False
        for a, b in lines:
            least = min(first[a], first[b])
            if first[a] != least or first[b] != least:
                first[a] = first[b] = least
                changed = True
    return np.array(first, dtype=np.int64)


def alike(rows: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> tuple[IntArray, IntArray]:
    """The first of each distinct row, and the place of each row among these."""
    _, first, place = np.unique(rows.view(f"V{rows.shape[1]}").ravel(), return_index=True, return_inverse=True)
    return first, place.ravel()
