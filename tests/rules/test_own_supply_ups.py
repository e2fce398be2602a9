"""A lock with a supply of its own is not held by the switch: its UPS is no question."""

import pytest

from riserkit.design import design
from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.feeds import Feeds

OWN = {"id": "bar-safe", "kind": "electrified-exit-device", "action": "fail-safe", "rated_v": 24, "hold_a": 0.5,
       "pull_in_a": 0.5, "tolerance_low": 0.15, "tolerance_high": 0.15, "own_supply": "yes"}  # fmt: skip


def test_a_spent_ups_takes_its_controller_and_not_the_lock(site_of):
    """What people read of a door in a long blackout: it was told unlocked, and its own supply holds it locked."""
    site = site_of({"lock": "bar-safe", "fail_mode": "fail-safe", "egress": "none"}, parts=(OWN,)).site
    ups = {"closet": site.closets[0].id, "battery_ah": 9, "end_v": 42, "efficiency": 0.9}
    on_it = {"on_ups": "yes", "ups": "U", "own_w": 10}
    standing = site.with_changes(upses={"U": ups}, switches={"S": on_it}, info={"standby_hours": 1})
    (said,) = [f.message for f in check(design(standing)) if f.rule == "standby" and f.subject == "U"]
    assert said.endswith("Then: 101 without controller.")


def test_the_power_of_such_a_lock_is_not_told_to_come_over_the_poe_cable(site_of):
    made = site_of({"lock": "bar-safe", "fail_mode": "fail-safe", "egress": "none"}, parts=(OWN,))
    assert {c.supply_at for c in made.doors[0].wiring.considered if c.voltages} == {"lock's own supply"}


@pytest.mark.parametrize("on_ups", ["no", "yes"])
def test_a_lock_fed_by_its_own_supply_is_not_behind_the_switches_ups(site_of, on_ups):
    site = site_of({"lock": "bar-safe", "fail_mode": "fail-safe", "egress": "none"}, parts=(OWN,)).site
    found = check(design(site.with_changes(switches={"S": {"on_ups": on_ups}})))
    assert [f.verdict for f in found if f.rule == "ups-behind-fail-safe" and f.subject == "S"] == ["pass"]


@pytest.mark.parametrize("rated_v", [24, 48])
def test_a_supply_stated_for_such_a_lock_is_told_and_carries_nothing(site_of, rated_v):
    """Where the door had no suitable wiring nothing said that the supply is not used, and the supply was named as the lock's."""
    lock = {**OWN, "rated_v": rated_v, "v_pull_in_v": rated_v * 0.8, "v_drop_out_v": 2, "inductance_h": 1.0}
    opening = {"lock": "bar-safe", "fail_mode": "fail-safe", "egress": "none", "controller": "controller-box"}
    site = site_of(opening, parts=(lock,)).site
    made = design(
        site.with_changes(
            supplies={"PS": {"part": "supply-24-4", "opening": "101"}}, openings={"101": {"supply": "PS"}}
        )
    )
    found = check(made)
    (told,) = [f for f in found if f.rule == "stated-not-used" and f.about == "supply"]
    assert told.message == "supply PS is stated; bar-safe has a supply of its own."
    assert "own_supply no of bar-safe" in told.remedy
    assert Feeds(made).doors_on("PS") == ()
