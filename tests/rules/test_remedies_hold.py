"""A remedy followed to the letter makes the finding pass, worked out by the whole chain anew, and a little less does not."""

import re

import pytest

from riserkit.design import design
from riserkit.findings import Verdict
from riserkit.model.cabling import Run
from riserkit.plugin.read import read_site
from riserkit.rules._shared.evaluate import check
from riserkit.rules.class_power import arriving_w
from riserkit.standards.poe import POE_CLASSES
from riserkit.starter.tables import write_starter


@pytest.fixture
def site(tmp_path):
    write_starter(tmp_path / "site")
    return read_site(tmp_path / "site")


def with_run(site, to_end, length_m, from_end, **info):
    run = Run(id="R1", from_end=from_end, to_end=to_end, length_m=length_m, basis="measured")
    return site.model_copy(update={"runs": (run,), "info": site.info.model_copy(update=info)})


def failing(site, rule, mark):
    found = [f for f in check(design(site)) if (f.rule, f.subject) == (rule, mark) and f.verdict is Verdict.FAIL]
    return found[0] if found else None


def number(pattern, text):
    match = re.search(pattern, text)
    assert match, text
    return float(match[1])


def test_longest_lock_cable_holds_when_the_circuit_is_solved_anew(site):
    forced = tuple(o.model_copy(update={"arrangement": "direct-with-peripherals"}) for o in site.openings)
    site = site.model_copy(update={"openings": forced})

    def run(length_m):
        return failing(with_run(site, "101/lock", length_m, "101/controller"), "lock-voltage", "101")

    # Thicker cables are tried first; at 800 m even the thickest is too thin.
    found = run(800.0)
    longest_m = number(r"a lock cable of at most ([\d.]+) m", found.remedy.lower())
    assert 100 < longest_m < 800
    assert run(longest_m) is None
    assert run(longest_m * 1.05) is not None


def test_shorter_cords_hold(site):
    closet = site.closets[0].id

    def run(cords_m):
        return failing(with_run(site, "101", 80.0, closet, cords_total_m=cords_m), "channel-length", "101")

    cords_m = number(r"[Cc]ords of at most ([\d.]+) m", run(20.0).remedy)
    assert run(cords_m) is None
    assert run(cords_m + 0.2) is not None


def test_what_arrives_is_what_the_power_calculation_says(site):
    for door in design(site).doors:
        granted = min((POE_CLASSES[n] for n in (door.link.poe_class, door.link.device_class)), key=lambda c: c.p_pse_w)
        assert arriving_w(granted, door.link.loop_ohm) == pytest.approx(door.link.pd_limit_w, rel=1e-12)


def test_shorter_permanent_link_carries_the_power(site):
    closet = site.closets[0].id
    need_w = 12.5
    parts = tuple(p.model_copy(update={"own_w": need_w - 4.2}) if p.id == "controller-c3" else p for p in site.parts)
    hungry = site.model_copy(update={"parts": parts})

    def run(length_m):
        return failing(with_run(hungry, "101", length_m, closet, pathway_c=60.0), "class-power", "101")

    found = run(400.0)
    longest_m = number(r"permanent link of at most ([\d.]+) m", found.remedy)
    assert run(longest_m) is None
    assert run(longest_m * 1.02) is not None


def test_every_failing_remedy_names_a_number(site):
    """On a site where nearly everything is wrong."""
    broken = with_run(site, "101", 250.0, site.closets[0].id)
    switches = tuple(s.model_copy(update={"poe_budget_w": 5.0, "on_ups": None}) for s in broken.switches)
    openings = tuple(o.model_copy(update={"egress": None, "lock": "strike-12-heavy"}) for o in broken.openings)
    found = check(design(broken.model_copy(update={"switches": switches, "openings": openings})))
    failed = [f for f in found if f.verdict is Verdict.FAIL]
    assert {f.rule for f in failed} >= {"channel-length", "switch-power-budget", "switch-class-budget"}
    for finding in failed:
        assert re.search(r"\d", finding.remedy), finding
    for finding in found:
        assert (finding.verdict is Verdict.PASS) == (finding.remedy == ""), finding
