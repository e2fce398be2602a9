"""A lock with a supply of its own is not held by the switch: its UPS is no question."""

import pytest

from riserkit.design import design
from riserkit.rules._shared.evaluate import check

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
