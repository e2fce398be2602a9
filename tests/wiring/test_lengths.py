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


@pytest.mark.parametrize("stated", [{"type": "gate"}, {"ceiling_space": "none"}])
@pytest.mark.parametrize(
    ("device", "up_m"),
    [
        # to 0.6 m above a head 2 m high, from the controller at 1.1 m, and down to the device
        ("reader", 1.5 + 1.5),
        ("lock", 1.5 + 1.58),
        # a box stands beside the opening, 1.5 m high
        ("box", 1.5 + 1.1),
        ("fire", 1.1 + 1.1),
    ],
)
def test_where_there_is_no_ceiling_cables_cross_above_the_head(stated, device, up_m):
    """A turnstile in a hall 9 m high got cables of 18 m to a box that stands beside it."""
    opening = Opening.model_validate(
        {"mark": "1", "level": "L1", "x_m": 0, "y_m": 0, "height_m": 2, "width_m": 1, "reader_height_m": 1.1, **stated}
    )
    length_m = estimated_length_m(opening, device, 9.0, lock_at_head=False, rex=None)
    assert length_m == pytest.approx(up_m + 1 + 0.5 + 1)


def test_doors_of_one_site_with_and_without_a_ceiling_have_lengths_of_their_own(site_of):
    door = {"lock": "strike-12-secure", "egress": "mechanical"}
    design = site_of({**door, "mark": "1"}, {**door, "mark": "2", "x_m": 8, "ceiling_space": "none"})
    first, second = (next(c.length_m for c in one.wiring.netlist.cables if c.role == "lock") for one in design.doors)
    assert first > second
