"""A lock with a supply of its own is not held by the switch: its UPS is no question."""

import pytest

from riserkit.design import design
from riserkit.rules._shared.evaluate import check


@pytest.mark.parametrize("on_ups", ["no", "yes"])
def test_a_lock_fed_by_its_own_supply_is_not_behind_the_switches_ups(site_of, on_ups):
    own = {"id": "bar-safe", "kind": "electrified-exit-device", "action": "fail-safe", "rated_v": 24, "hold_a": 0.5,
           "pull_in_a": 0.5, "tolerance_low": 0.15, "tolerance_high": 0.15, "own_supply": "yes"}  # fmt: skip
    site = site_of({"lock": "bar-safe", "fail_mode": "fail-safe", "egress": "none"}, parts=(own,)).site
    found = check(design(site.with_changes(switches={"S": {"on_ups": on_ups}})))
    assert [f.verdict for f in found if f.rule == "ups-behind-fail-safe" and f.subject == "S"] == ["pass"]
