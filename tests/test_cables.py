"""Every cable of a design is in one list, and what reads it leaves none out."""

from __future__ import annotations

import math
from typing import Any

import pytest

from riserkit.design import Design, design
from riserkit.findings import Finding, Verdict
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.cables import CableKind

EMT_3_4_M = 0.824 * 0.0254
DOOR = {
    "level": "L1", "y_m": 3, "controller": "controller-c4", "lock": "strike-24-secure", "fail_mode": "fail-secure",
    "egress": "mechanical", "contact": "contact-reed", "rex": "rex-motion", "supply": "PS",
}  # fmt: skip


def made(doors: int = 4, level: dict[str, Any] | None = None, **change: Any) -> Design:
    """Doors at the end of one conduit, their lock power from a supply in the closet at its other end."""
    tables: dict[str, list[dict[str, Any]]] = {
        "levels": [{"id": "L1", "elevation_m": 0, "ceiling_space": "general", **(level or {})}],
        "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 3}],
        "switches": [{"id": "SW", "closet": "C1", "ports": 24, "poe_budget_w": 370, "on_ups": True}],
        "supplies": [{"id": "PS", "part": "supply-24-4", "closet": "C1"}],
        "pathway_nodes": [{"id": n, "level": "L1", "x_m": x, "y_m": 3} for n, x in (("N0", 0), ("N1", 20))],
        "pathway_segments": [
            {"id": "P", "from_node": "N0", "to_node": "N1", "kind": "conduit", "trade_size": "EMT 3/4"},
        ],
        "openings": [{"mark": f"{k + 1}", "x_m": 20, **DOOR, **change} for k in range(doors)],
    }
    rows = {t: tuple(RawRecord(v, Where(t, n)) for n, v in enumerate(rs, 2)) for t, rs in tables.items()}
    info = RawRecord({"electrical_code": "NEC 2023"}, Where("site", 1))
    return design(assemble_site(RawSite(info, rows)))


def found(one: Design, rule: str, subject: str = "", about: str = "") -> list[Finding]:
    return [f for f in check(one) if f.rule == rule and (not subject or f.subject == subject) and f.about == about]


def test_lock_power_from_a_closet_counts_in_the_conduit() -> None:
    """Four PoE cables of 5.8 mm alone fill 31 % of the conduit; the four of 5.0 mm for lock power with them 54 %."""
    one = made()
    (fill,) = found(one, "conduit-fill", "P")
    area = 4 * 0.0058**2 + 4 * 0.0050**2
    assert fill.verdict is Verdict.FAIL
    assert fill.value == pytest.approx(100 * area / EMT_3_4_M**2)
    assert fill.value == pytest.approx(53.6, abs=0.1)
    assert "8 cables" in fill.message
    assert pytest.approx(30.7, abs=0.1) == 100 * 4 * 0.0058**2 / EMT_3_4_M**2


def test_the_list_holds_every_cable_of_every_netlist_once() -> None:
    one = made(2)
    drawn = sum(len(door.wiring.netlist.cables) for door in one.doors if door.wiring.netlist)
    assert len(one.cables) == drawn
    assert len({cable.subject for cable in one.cables}) == len(one.cables)
    kinds = [cable.kind for cable in one.cables]
    assert (kinds.count(CableKind.HORIZONTAL), kinds.count(CableKind.LOCK_POWER)) == (2, 2)
    home = next(cable for cable in one.cables if cable.kind is CableKind.LOCK_POWER)
    assert (home.from_id, home.mark, home.segments, home.basis) == ("PS", "1", ("P",), "routed")
    assert home.length_m == pytest.approx(one.doors[0].cable.route.length_m)  # type: ignore[union-attr]
    assert not any(cable.segments for cable in one.door_cables)


def test_a_supply_at_the_door_brings_its_power_within_the_door() -> None:
    one = made(1, supply="")
    assert not any(cable.kind is CableKind.LOCK_POWER and cable.from_id != "PS" for cable in one.cables)


@pytest.mark.parametrize(
    ("space", "own", "verdict"),
    [("general", "", Verdict.PASS), ("plenum", "", Verdict.FAIL), ("plenum", "general", Verdict.PASS)],
)
def test_cables_at_the_door_are_fit_for_the_space_above_its_ceiling(space: str, own: str, verdict: Verdict) -> None:
    change = {"ceiling_space": own} if own else {}
    (finding,) = found(made(1, {"ceiling_space": space}, **change), "jacket-fit", "1", "cables at the door")
    assert finding.verdict is verdict
    if verdict is Verdict.FAIL:
        assert "CL3R of 22-2" in finding.message
        assert "22-2-plenum (CL3P) in place of 22-2" in finding.remedy
        # whoever mends it is told the column of each, and the run of what has no column
        assert "State it as contact_cable, rex_cable, lock_cable of the opening and in runs to " in finding.remedy
        assert "MARK/relay" in finding.remedy


def test_plenum_cables_at_the_door_pass_above_a_plenum() -> None:
    site = made(1).site
    info = site.info.model_copy(
        update={f"{name}_cable": f"{kind}-plenum" for name, kind in (
            ("lock", "18-2"), ("contact", "22-2"), ("rex", "22-4"), ("relay", "22-4"), ("release", "18-4"),
        )}
    )  # fmt: skip
    level = site.levels[0].model_copy(update={"ceiling_space": "plenum"})
    (finding,) = found(
        design(site.model_copy(update={"info": info, "levels": (level,)})), "jacket-fit", "1", "cables at the door"
    )
    assert finding.verdict is Verdict.PASS, finding


def test_lock_power_is_judged_for_its_own_jacket() -> None:
    (finding,) = found(
        made(1, {"ceiling_space": "plenum"}, horizontal_cable="cat6-plenum"), "jacket-fit", "1", "lock power"
    )
    assert finding.verdict is Verdict.FAIL
    assert "CL3R of 18-2" in finding.message


def test_a_ceiling_that_nobody_states_is_told_once_and_passes_nothing() -> None:
    findings = [f for f in check(made(3, {"ceiling_space": None})) if f.rule == "jacket-fit"]
    (told,) = findings
    assert told.verdict is Verdict.NOT_EVALUATED
    assert (told.subject_kind, told.about) == ("site", "spaces not stated")
    assert "3 openings: 1, 2, 3" in told.message


def test_an_outdoor_gate_has_its_cables_outdoors() -> None:
    (finding,) = found(made(1, type="gate", outdoor=True), "jacket-fit", "1", "cables at the door")
    assert finding.verdict is Verdict.FAIL
    assert "outdoors at the gate" in finding.message


def test_length_and_power_of_one_cable_rest_on_one_temperature() -> None:
    """Eight cables of class 4, two pairs: 30 K (0.3 / (0.89 x 1.4))^2 over the pathway's 40 °C."""
    one = made(8)
    for door in one.doors:
        assert door.cable is not None
        assert door.cable.route is not None
        assert door.link is not None
        assert door.link.temperature_c == one.heat.on(door.cable.route).temperature_c
        assert door.link.temperature_c == pytest.approx(40 + 30 * (0.3 / (0.89 * 1.4)) ** 2)
        assert math.isfinite(door.link.loop_ohm)


def test_metres_off_the_pathways_are_named() -> None:
    one = made(1, y_m=58)
    (finding,) = found(one, "estimated-length", "1")
    assert "is estimated, 55 m of it off pathways" in finding.message
    assert finding.verdict is Verdict.FAIL
    assert "bring a pathway to the opening" in finding.remedy
    (routed,) = found(made(1, y_m=8), "estimated-length", "1")
    assert (routed.verdict, routed.message) == (Verdict.PASS, "The length is routed.")
