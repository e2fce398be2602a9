"""What holds a fail-safe lock through a power cut is asked of the switch and of the supply alike."""

import pytest

from riserkit.design import design
from riserkit.findings import Severity, Verdict
from riserkit.model.power import Supply
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.evaluate import check

SAFE = {"lock": "strike-12-safe", "egress": "none", "fire_rating_min": 0}
MAGNET = {"lock": "magnet-24-600", "egress": "none", "fire_rating_min": 0}


def with_switch(site_of, on_ups, opening):
    site = site_of(opening).site
    switches = tuple(s.model_copy(update={"on_ups": on_ups}) for s in site.switches)
    return check(design(site.model_copy(update={"switches": switches})))


@pytest.mark.parametrize(("on_ups", "verdict"), [(False, Verdict.FAIL), (True, Verdict.PASS)])
def test_the_rule_that_rejects_the_wiring_speaks_and_its_one_cell_cures_it(site_of, on_ups, verdict):
    found = with_switch(site_of, on_ups, SAFE)
    (ups,) = [f for f in found if f.rule == "ups-behind-fail-safe"]
    (wiring,) = [f for f in found if f.rule == "no-suitable-wiring"]
    assert (ups.verdict, wiring.verdict) == (verdict, verdict)
    if verdict is Verdict.FAIL:
        assert ups.severity is Severity.ERROR
        assert "on_ups yes" in ups.remedy


@pytest.mark.parametrize(
    ("part", "on_battery", "verdict"),
    [
        ("supply-24-nb", None, Verdict.FAIL),
        ("supply-24-4", None, Verdict.PASS),
        ("supply-24-4", False, Verdict.FAIL),
        ("supply-24-nb", True, Verdict.PASS),
    ],
)
def test_a_supply_that_holds_doors_locked_has_a_battery(site_of, part, on_battery, verdict):
    site = site_of({**MAGNET, "supply": ""}).site
    supply = Supply(id="PS1", part=part, closet="C1", on_battery=on_battery)
    openings = tuple(o.model_copy(update={"supply": "PS1"}) for o in site.openings)
    found = check(design(site.model_copy(update={"supplies": (supply,), "openings": openings})))
    (one,) = [f for f in found if f.rule == "battery-behind-fail-safe"]
    assert (one.verdict, one.subject) == (verdict, "PS1")
    assert "101" in one.message


def test_no_rounding_hides_a_failure():
    for value in (0.70001, 0.7000001):
        shown, limit = format_pair(value, 0.70, "A")
        assert shown != limit
