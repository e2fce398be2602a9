"""The strike of a pair of doors: in a mullion, or in the inactive leaf with its wires over the hinges."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design
from riserkit.drawings.door.devices import drawn_devices, elevation_devices, opening_shape
from riserkit.drawings.door.opening_words import hardware_words
from riserkit.reports.materials.door import door_lines
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.roles import DeviceRole

SiteOf = Callable[..., Design]
STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "free_egress_hardware": True, "fail_mode": "fail-secure"}
PAIR = {**STRIKE, "type": "double", "leaf_width_m": 0.9, "inactive_leaf": "automatic-bolts"}


def netlist_of(made: Design) -> Netlist:
    netlist = made.doors[0].wiring.netlist
    assert netlist is not None
    return netlist


def places(made: Design) -> dict[str, str]:
    """Place in words of each device in the elevation."""
    door, site = made.doors[0], made.site
    return {
        d.ref: place for d, place in drawn_devices(elevation_devices(door, site, opening_shape(door.opening, site)))
    }


def test_wires_of_a_strike_in_the_inactive_leaf_go_over_its_hinges(site_of: SiteOf) -> None:
    made = site_of({**PAIR, "mullion": False})
    netlist = netlist_of(made)
    assert [c.ref for c in netlist.devices(DeviceRole.POWER_TRANSFER)] == ["X4"]
    ends = {frozenset((str(c.a), str(c.b))) for c in netlist.conductors}
    assert {frozenset(("X4.+", "M1.+")), frozenset(("X4.-", "M1.-"))} <= ends
    assert not {frozenset(("K1.L+", "M1.+")), frozenset(("K1.L-", "M1.-"))} & ends
    assert "hinge-transfer" in {line.item for line, _ in door_lines(made, made.doors[0])}
    assert places(made)["M1"] == "in the inactive leaf, at the latch"
    assert netlist.component("M1").place == places(made)["M1"]


@pytest.mark.parametrize(
    ("stated", "place"),
    [
        ({"mullion": True}, "in the mullion, at the latch"),
        ({"mullion": True, "inactive_leaf": "", "lock_count": 2}, "in the mullion, at the latch"),
        (
            {"mullion": False, "inactive_leaf": "", "lock_count": 2},
            "where the leaves meet; mullion or leaf to be settled",
        ),
        ({}, "where the leaves meet; mullion or leaf to be settled"),
    ],
)
def test_a_strike_that_stands_in_no_leaf_has_its_wires_straight(
    site_of: SiteOf, stated: dict[str, Any], place: str
) -> None:
    made = site_of({**PAIR, **stated})
    assert netlist_of(made).devices(DeviceRole.POWER_TRANSFER) == ()
    assert places(made)["M1"] == place


def test_the_contact_of_a_strike_in_the_leaf_has_no_wires_over_the_hinges(site_of: SiteOf) -> None:
    def said(mullion: bool) -> list[str]:
        made = site_of({**PAIR, "lock": "strike-12-secure-keeper", "contact": "contact-reed", "mullion": mullion})
        return [f.message for f in check(made) if f.rule == "lock-contact" and f.is_open]

    assert said(True) == []
    (message,) = said(False)
    assert "its lock is in the leaf, and the hinge power transfer brings lock power only" in message


def test_a_single_leaf_has_its_strike_in_the_frame(site_of: SiteOf) -> None:
    assert places(site_of(STRIKE))["M1"] == "in the frame"


def test_a_latch_stands_in_its_own_leaf_whatever_is_between_the_leaves(site_of: SiteOf) -> None:
    latch = {**PAIR, "lock": "latch-24", "controller": "controller-out-24"}
    without, unstated = site_of({**latch, "mullion": False}), site_of(latch)
    for made in (without, unstated):
        assert [c.ref for c in netlist_of(made).devices(DeviceRole.POWER_TRANSFER)] == ["X3"]
    lengths = [{c.ref: c.length_m for c in netlist_of(made).cables} for made in (without, unstated)]
    assert lengths[0] == lengths[1]


def test_the_transfer_is_drawn_at_the_hinges_of_the_leaf_that_the_strike_is_in(site_of: SiteOf) -> None:
    def x_m(opening: dict[str, Any], ref: str) -> float:
        door, site = (made := site_of(opening)).doors[0], made.site
        found = elevation_devices(door, site, opening_shape(door.opening, site))
        return next(d.x_m + d.offset_mm[0] / 1000 for d in found if d.ref == ref)

    meet_m = PAIR["leaf_width_m"]
    assert x_m({**PAIR, "mullion": False}, "X4") > meet_m < x_m({**PAIR, "mullion": False}, "M1")
    assert x_m({**PAIR, "lock": "latch-24", "controller": "controller-out-24", "mullion": False}, "X3") < meet_m


def test_lock_power_to_the_far_hinges_is_a_leaf_longer(site_of: SiteOf) -> None:
    def lock_m(mullion: bool) -> float:
        netlist = netlist_of(site_of({**PAIR, "mullion": mullion}))
        return next(c.length_m for c in netlist.cables if c.role == "lock")

    assert lock_m(False) - lock_m(True) == pytest.approx(0.9)


def test_the_schedule_says_what_is_between_the_leaves(site_of: SiteOf) -> None:
    assert hardware_words(site_of({**PAIR, "mullion": True}).doors[0].opening).endswith(", mullion")
    assert hardware_words(site_of({**PAIR, "mullion": False}).doors[0].opening).endswith(", no mullion")
