"""What is tried by hand at a door follows from how people get out of it.

Outside: IBC 2021 1010.2.7 (stairway doors), 1010.2.12 (sensor release), 1010.2.13 (delayed egress), 1010.2.14 (controlled egress).
"""

from __future__ import annotations

import pytest

from riserkit.field.life_safety import life_safety_tests
from riserkit.model.opening import EgressRole
from tests.network.sites import door

FREELY = "without key, card or code"


def tried(edition: str = "2021", **stated: object) -> str:
    return "\n".join(life_safety_tests(door("101", 0, 0, **stated), edition))


@pytest.mark.parametrize("role", list(EgressRole))
def test_nobody_is_asked_to_walk_out_freely_where_the_code_lets_the_door_hold(role: EgressRole) -> None:
    """Delayed doors hold for 15 s, controlled doors until staff or the fire alarm release them; a door of no egress may stay locked."""
    held = role in (EgressRole.DELAYED, EgressRole.CONTROLLED, EgressRole.NONE)
    assert (FREELY in tried(egress=role)) is not held


@pytest.mark.parametrize(
    ("role", "edition", "released"),
    [
        ("delayed", "2021", True),
        ("controlled", "2021", True),
        ("stair", "2021", False),
        ("stair", "2024", True),
        ("mechanical", "2021", False),
    ],
)
def test_the_fire_alarm_is_tried_where_the_code_asks_stated_or_not(role: str, edition: str, released: bool) -> None:
    assert ("Fire alarm, set off" in tried(edition, egress=EgressRole(role))) is released


def test_a_fire_alarm_release_that_is_stated_is_tried_too() -> None:
    assert "Fire alarm, set off" in tried(egress=EgressRole.MECHANICAL, fire_alarm_release=True)


@pytest.mark.parametrize("role", ["sensor-release", "hardware-release", "delayed", "controlled"])
def test_loss_of_power_is_tried_with_the_battery_off(role: str) -> None:
    assert "any outside supply and its battery off" in tried(egress=EgressRole(role))


def test_a_delay_is_timed_as_stated_and_not_made_up() -> None:
    assert "releases 15 s later" in tried(egress=EgressRole.DELAYED, delay_s=15.0)
    assert "releases the stated delay later" in tried(egress=EgressRole.DELAYED)


def test_egress_that_is_not_stated_is_asked_about() -> None:
    assert "ask before the door is put in service" in tried(egress=None)


def test_forces_and_heights_of_the_hardware_are_those_of_the_code() -> None:
    """IBC 2021 1010.2.9.3: panic hardware, 15 lbf; ADA 2010 404.2.7: 34 to 48 in; 309.4: 5 lbf (from memory)."""
    hardware = tried(egress=EgressRole.HARDWARE_RELEASE, release="release-30")
    assert "864 to 1219 mm (34 to 48 in)" in hardware
    assert "a panic bar unlatches with 67 N (15 lbf) or less" in hardware
    assert "pressed once with 22 N (5 lbf) or less" in hardware
    assert "with 67 N (15 lbf) or less for 3 s" in tried(egress=EgressRole.DELAYED)
    assert "panic bar" not in tried(egress=EgressRole.SENSOR_RELEASE)


def test_an_interlock_is_tried_with_the_other_door_open_and_promises_no_more_than_the_role() -> None:
    assert "hold 102 open and repeat the tests above" in tried(egress=EgressRole.MECHANICAL, interlocked_with="102")
    assert FREELY not in tried(egress=EgressRole.CONTROLLED, interlocked_with="102")
    assert "Interlock" not in tried(egress=EgressRole.MECHANICAL, interlocked_with="none")
