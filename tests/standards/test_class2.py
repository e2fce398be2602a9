"""Class 2 limits: at and about each edge."""

from __future__ import annotations

import math

import pytest

from riserkit.standards.class2 import class2_limit
from riserkit.standards.source import NotTabulatedError


def test_nameplate_current_changes_at_20_v() -> None:
    assert class2_limit(20.0).nameplate_a == 5.0
    assert class2_limit(20.0).nameplate_va == 100.0
    assert class2_limit(25.0).nameplate_a == 4.0


def test_inherent_limit_changes_at_30_v() -> None:
    assert class2_limit(30.0).i_max_a == 8.0
    assert class2_limit(30.01).i_max_a == pytest.approx(150 / 30.01)
    assert class2_limit(30.01).source.confidence == "from memory"
    assert class2_limit(60.0).i_max_a == 2.5
    assert class2_limit(60.0).source.confidence == "from memory"
    assert class2_limit(30.0).source.confidence == "verified"


def test_protected_supplies_have_an_overcurrent_limit() -> None:
    limit = class2_limit(24.0, inherent=False)
    assert limit.overcurrent_a == pytest.approx(100 / 24)
    assert limit.i_max_a == pytest.approx(1000 / 24)
    assert class2_limit(12.0, inherent=False).overcurrent_a == 5.0
    assert class2_limit(12.0).overcurrent_a is None


def test_no_verdict_above_60_v() -> None:
    with pytest.raises(NotTabulatedError, match="up to 60 V"):
        class2_limit(60.1)


@pytest.mark.parametrize("v", [0.0, -12.0, math.nan, math.inf])
def test_impossible_supplies_are_errors(v: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        class2_limit(v)
