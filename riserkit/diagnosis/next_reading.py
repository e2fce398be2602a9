"""Which reading to take next: the one after which, on average, the least is left open.

For each candidate in turn the reading is taken to show what that candidate predicts; whatever else predicts a range that holds
this value stays. The entropy of what stays, weighted by how likely each candidate is, is what the reading leaves open.
Source: J. de Kleer and B. C. Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987), section 4.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

_LEAST = np.finfo(float).tiny


def entropy_bits(weights: FloatArray) -> float:
    """Entropy of candidates.

    Args:
        weights: how likely each is, to any scale, shape (candidates,).

    Returns:
        Bits; 0 where one of them is certain or there is none.

    Examples:
        >>> entropy_bits(np.array([1.0, 1.0, 2.0]))
        1.5
    """
    p = weights[weights > 0.0] / max(weights.sum(), np.finfo(float).tiny)
    return float(-(p * np.log2(p)).sum()) + 0.0


def expected_bits(
    weights: FloatArray, low: FloatArray, high: FloatArray, typical: FloatArray, of: IntArray | None = None
) -> FloatArray:
    """Entropy that each reading leaves on average.

    Args:
        weights: how likely each candidate is, to any scale, shape (candidates,).
        low: least value that a candidate allows, meter's error included, shape (readings, candidates).
        high: greatest one; equal shape. Infinite on both sides where a candidate allows anything.
        typical: what the reading would be were the candidate the fault; not a number where it cannot be said.
        of: the number of what each candidate is a form of, such as one fault of several strengths, from 0 and in order;
            which form it is leaves nothing open. Each by itself when left out.

    Returns:
        Bits, shape (readings,).
    """
    p = weights / weights.sum()
    n, fault = len(p), np.arange(len(p)) if of is None else of
    by_itself: FloatArray = np.bincount(fault, p).astype(np.float64)
    nothing_told = entropy_bits(by_itself)
    left = np.full(len(low), nothing_told)
    change, faults = np.concatenate((p, -p)), np.concatenate((fault, fault))
    for row in np.flatnonzero(_telling(low, high, typical)):
        least, most, value = low[row], high[row], typical[row]
        told = np.flatnonzero(~np.isnan(value))
        order = told[np.argsort(value[told])]
        shown = value[order]
        # over the values in rising order each candidate stays from one place on, up to another; its own value is among them
        at = np.concatenate(
            (np.searchsorted(shown, np.fmin(least, value)), np.searchsorted(shown, np.fmax(most, value), side="right"))
        )
        by_fault = np.argsort(faults * (n + 1) + at, kind="stable")
        stays = np.maximum(np.cumsum(change[by_fault]), 0.0)  # of each fault what stays, one fault after the other
        terms = np.diff(stays * np.log2(np.maximum(stays, _LEAST)), prepend=0.0)
        likely = p[order]
        # at least the one itself stays, though sums of the others round it off
        total = np.maximum(np.cumsum(np.bincount(at, change, n + 1))[: len(shown)], np.maximum(likely, _LEAST))
        terms = np.cumsum(np.bincount(at[by_fault], terms, n + 1))[: len(shown)]
        # H = log2(total) - sum(p log2 p) / total over what stays
        left[row] = likely @ (np.log2(total) - terms / total) + (1.0 - likely.sum()) * nothing_told
    return left


def _telling(low: FloatArray, high: FloatArray, typical: FloatArray) -> npt.NDArray[np.bool_]:
    """Readings at which some candidate shows what another does not allow, shape (readings,)."""
    if not typical.size:
        return np.zeros(len(typical), dtype=np.bool_)
    least, most = np.fmin(low, typical).max(axis=1), np.fmax(high, typical).min(axis=1)
    told = ~np.isnan(typical)
    first, last = np.where(told, typical, np.inf).min(axis=1), np.where(told, typical, -np.inf).max(axis=1)
    telling: npt.NDArray[np.bool_] = ~((first >= least) & (last <= most))
    return telling


def apart(low: FloatArray, high: FloatArray, typical: FloatArray) -> npt.NDArray[np.bool_]:
    """Pairs of candidates that some reading tells apart, shape (candidates, candidates).

    Args:
        low: as for `expected_bits`.
        high: likewise.
        typical: likewise.
    """
    n = low.shape[1]
    told = np.zeros((n, n), dtype=np.bool_)
    for least, most, value in zip(low, high, typical, strict=True):
        excluded = (value[:, None] < least[None, :]) | (value[:, None] > most[None, :])
        told |= excluded | excluded.T
    return told
