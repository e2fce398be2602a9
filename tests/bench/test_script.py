"""What a page is told: of a meter only where it leaves noticeably less than all, of relays each by itself."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import numpy as np
import pytest

from riserkit.bench.script import bench_script, shares_told
from riserkit.bench.table import BenchTable
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


@pytest.mark.parametrize("variant", ["relay by voltage", "dry trigger"])
def test_a_trigger_is_told_from_the_relay_that_it_moves(tables: Callable[[str], BenchTable], variant: str) -> None:
    text = bench_script(tables(variant), "t", {})
    told = [moved for moved, _ in json.loads(re.search(r'"relayEnds":(\[.*?\]\])', text)[1])]  # type: ignore[index]
    assert len(told) == len(set(told)), "two coils of one device are two lines"
    assert any(one.endswith("trigger input on") for one in told)
    assert any(one.endswith("relay energised") for one in told)
