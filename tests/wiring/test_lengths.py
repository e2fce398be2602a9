"""Lengths of cables at a door that nobody has measured."""

from __future__ import annotations

import pytest

from riserkit.model.opening import Opening
from riserkit.wiring.lengths import estimated_length_m

CEILING_M = 3.0


def _length_m(device: str, **stated: object) -> float:
    opening = Opening.model_validate({"mark": "1", "level": "L1", "x_m": 0, "y_m": 0, **stated})
    return estimated_length_m(opening, device, CEILING_M, lock_at_head=False, rex=None)


@pytest.mark.parametrize(("device", "height"), [("reader", "reader_height_m"), ("rex", "rex_height_m")])
def test_a_device_above_the_ceiling_is_reached_by_going_up(device, height):
    """As far above the ceiling as below it takes as much cable; no height makes a length of less than nothing."""
    below, above = _length_m(device, **{height: CEILING_M - 1.5}), _length_m(device, **{height: CEILING_M + 1.5})
    assert above == pytest.approx(below)
    assert _length_m(device, **{height: 20}) > 17


@pytest.mark.parametrize("stated", [{"leaf_width_m": 0.9}, {"width_m": 1.8}])
def test_a_double_opening_s_cables_cross_as_many_leaves_as_it_has_locks(stated):
    one, both = (_length_m("lock", type="double", lock_count=n, **stated) for n in (1, 2))
    assert both - one == pytest.approx(0.9)
