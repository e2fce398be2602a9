"""An opening without a ceiling, and a gate, which has no frame to put devices in: paper names a place that is there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from riserkit.circuits.netlist import Component
from riserkit.design import Design
from riserkit.drawings.door.devices import drawn_devices, elevation_devices, opening_shape
from riserkit.field.tools import tools_for
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.roles import DeviceRole

SiteOf = Callable[..., Design]
MODULE = {"lock": "magnet-12-300", "egress": "sensor-release", "fail_mode": "fail-safe", "contact": "contact-reed",
          "rex": "rex-motion", "release": "release-30", "lock_wiring_secured": True}  # fmt: skip
STRIKE = {
    "lock": "strike-12-secure",
    "egress": "mechanical",
    "fail_mode": "fail-secure",
    "release": "",
    "lock_wiring_secured": False,
}
ABOVE, BESIDE = "above ceiling, secured side", "beside the opening, secured side"


def one(made: Design, role: DeviceRole) -> Component:
    netlist = made.doors[0].wiring.netlist
    assert netlist is not None
    return netlist.devices(role)[0]


def in_elevation(made: Design) -> dict[str, str]:
    door, site = made.doors[0], made.site
    return {
        d.ref: place for d, place in drawn_devices(elevation_devices(door, site, opening_shape(door.opening, site)))
    }


@pytest.mark.parametrize(
    ("stated", "place"),
    [
        ({}, ABOVE),
        ({"ceiling_space": "plenum"}, ABOVE),
        ({"ceiling_space": "none"}, BESIDE),
        ({"type": "gate"}, BESIDE),
    ],
)
def test_a_box_stands_above_a_ceiling_only_where_there_is_one(
    site_of: SiteOf, stated: dict[str, Any], place: str
) -> None:
    made = site_of({**MODULE, **stated})
    assert one(made, DeviceRole.JUNCTION_BOX).place == place
    assert one(made, DeviceRole.RELAY_MODULE).place == f"in junction box X1, {place}"
    assert in_elevation(made)["X1"] == ("above ceiling" if place == ABOVE else "secured side")
    ladder = [line for line in tools_for(made.doors[0]) if "ceiling" in line]
    assert bool(ladder) == (place == ABOVE)


def test_a_gate_has_no_head_and_no_header(site_of: SiteOf) -> None:
    gate, door = site_of({**MODULE, "type": "gate"}), site_of({**MODULE, "ceiling_space": "none"})
    assert one(gate, DeviceRole.DOOR_CONTACT).place == in_elevation(gate)["B1"] == "at the latch, on post and gate"
    assert one(gate, DeviceRole.REX_SENSOR).place == "on a post, egress side"
    assert one(door, DeviceRole.DOOR_CONTACT).place == "door head, latch side"
    assert one(door, DeviceRole.REX_SENSOR).place == "above header, egress side"
    button = site_of({**MODULE, "type": "gate", "rex": "rex-button"})
    assert one(button, DeviceRole.REX_SENSOR).place == "secured side, beside the door"


def test_two_openings_alike_but_for_their_ceiling_have_each_its_own_place(site_of: SiteOf) -> None:
    """Openings that are wired alike are worked out side by side, and share what is worked out."""
    made = site_of(MODULE, {**MODULE, "mark": "102", "x_m": 14, "ceiling_space": "none"})
    found = [
        next(c.place for c in d.wiring.netlist.components if c.ref == "X1") for d in made.doors if d.wiring.netlist
    ]
    assert found == [ABOVE, BESIDE]


def test_any_listed_jacket_may_run_where_there_is_no_ceiling(site_of: SiteOf) -> None:
    def said(space: str) -> list[str]:
        findings = check(site_of({**MODULE, "ceiling_space": space}))
        return [f.verdict for f in findings if f.rule == "jacket-fit" and f.about == "cables at the door"]

    assert said("none") == said("general") != said("plenum")


@pytest.mark.parametrize(("stated", "place"), [({}, ABOVE), ({"ceiling_space": "none"}, BESIDE)])
def test_a_supply_at_the_door_stands_on_paper_where_its_elevation_has_it(
    site_of: SiteOf, stated: dict[str, Any], place: str
) -> None:
    """The wiring said `door`, which is nowhere to put a supply."""
    made = site_of({**MODULE, "lock": "magnet-24-600", "arrangement": "relay-external-supply", **stated})
    supply = one(made, DeviceRole.SUPPLY)
    assert supply.place == place
    assert in_elevation(made)[supply.ref] == ("above ceiling" if place == ABOVE else "secured side")


@pytest.mark.parametrize(
    ("stated", "place"),
    [
        (STRIKE, "in the frame, at the latch"),
        ({}, "door head, latch side, secured side"),
        ({"type": "gate"}, "at the door, secured side"),
        ({"type": "gate", "lock_accessible": True}, "at the door"),
    ],
)
def test_a_lock_is_where_it_is_fitted(site_of: SiteOf, stated: dict[str, Any], place: str) -> None:
    """`at the door` tells nobody where to cut, and a strike was on the secured side of a frame that is on both."""
    assert one(site_of({**MODULE, **stated}), DeviceRole.LOCK).place == place
