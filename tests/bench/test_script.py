"""What a page is told of how much of a voltage a meter leaves: only where it is noticeably less than all."""

from __future__ import annotations

import numpy as np

from riserkit.bench.script import shares_told
from riserkit.troubleshooting.metered import MeterPattern


def _pattern(share: list[list[float]]) -> MeterPattern:
    return MeterPattern(np.arange(len(share)), np.array(share))


def test_shares_are_told_once_for_two_parts_in_the_order_of_patterns() -> None:
    """All of it, none of it and what rounds to all are left out; patterns of different size come in their order."""
    patterns = [
        _pattern([[1.0, 0.9090909], [0.9090909, 1.0]]),
        _pattern([[1.0, 0.5, 0.0], [0.5, 1.0, 0.999999], [0.0, 0.999999, 1.0]]),
        _pattern([[1.0]]),
        _pattern([[1.0, 0.25], [0.25, 1.0]]),
    ]
    assert shares_told(patterns).tolist() == [[0, 0, 1, 90909], [1, 0, 1, 50000], [3, 0, 1, 25000]]


def test_no_pattern_has_no_share_to_tell() -> None:
    """The table still has its four columns."""
    assert shares_told([]).shape == (0, 4)
