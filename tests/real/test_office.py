"""A real building end to end: an openly published office model becomes a site, a design, findings and drawings.

Source of the building: National Institute of Building Sciences, Common Building Information Model Files, office
(IFC 2x3, 2011). Locks, controllers and cables are invented. What comes out is checked here by arithmetic of our own, from
the building's own lists and the published formulas, and not by calling the code that made it.
"""

from __future__ import annotations

import math
import re
import shutil
from pathlib import Path

import ezdxf
import pytest

from riserkit.findings import Verdict
from riserkit.results.build import BuildOptions, build_site
from tests.folders import csv_rows

# The rule by which openings are controlled: every door to the outside, and every door of a room that is an entry, a
# stair, or holds equipment, files or stores, or where people meet.
CONTROLLED = re.compile(r"ENTRY|STAIR|SERVER|COMM RM|UPS|ELEC|MECH|SECURE|SIPR|FILES|STOR|CONFERENCE|SCIF|NOC|TEAM RM")

MAPPING = """
[values.storey]
"Level 1" = "L1"
"Level 2" = "L2"
Roof = "R"
[levels]
columns = {{ id = "level", name = "level" }}
values = {{ id = "storey" }}
[openings]
file = "doors.csv"
columns = {{ outdoor = "external", unsecured_side = "room_a", secured_side = "room_b" }}
values = {{ level = "storey" }}
keep = {{ column = "mark", in = [{marks}] }}
[openings.constants]
lock = "strike-12-secure"
controller = "controller-c3"
contact = "contact-reed"
rex = "rex-motion"
fail_mode = "fail-secure"
egress = "mechanical"
free_egress_hardware = "yes"
[rooms]
columns = {{ id = "room" }}
values = {{ level = "storey" }}
ignore = ["x_m", "y_m", "area_m2"]
[walls]
values = {{ level = "storey" }}
[closets]
file = "rooms.csv"
columns = {{ id = "room" }}
values = {{ level = "storey" }}
ignore = ["area_m2", "outline_wkt"]
keep = {{ column = "room", in = ["115", "217"] }}
[site.constants]
name = "Two-storey office"
cords_total_m = "8"
"""
SWITCHES = """id,closet,ports,uplink_ports,poe_class,poe_budget_w,on_ups
SW-115,115,48,2,4,740,yes
SW-217,217,48,2,4,740,yes
"""
SLACK_M = 3.0 + 1.0  # at the closet and at the door, as the site's defaults say
ALPHA_PER_K = 0.00393  # copper, NBS Handbook 100
R23_OHM_PER_M = 1.7241e-8 / (math.pi / 4 * (0.127e-3 * 92 ** ((36 - 23) / 39)) ** 2)  # IACS and the AWG formula
R24_OHM_PER_M = 1.7241e-8 / (math.pi / 4 * (0.127e-3 * 92 ** ((36 - 24) / 39)) ** 2)
STRANDED = 1.026  # the most that stranding adds in NEC chapter 9 table 8, which has no 24 AWG; the cords are stranded


pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def office(request: pytest.FixtureRequest) -> Path:
    return Path(request.getfixturevalue("shared_dir")) / "real" / "office"


@pytest.fixture(scope="module")
def controlled(office: Path) -> dict[str, dict[str, str]]:
    names = {row["room"]: row["name"] for row in csv_rows(office / "rooms.csv")}
    return {
        row["mark"]: row
        for row in csv_rows(office / "doors.csv")
        if row["external"] == "yes" or any(CONTROLLED.search(names.get(row[side], "")) for side in ("room_a", "room_b"))
    }


@pytest.fixture(scope="module", params=["typical", pytest.param("each", marks=pytest.mark.sweep)])
def built(request, office: Path, controlled: dict[str, dict[str, str]], tmp_path_factory, not_inspected: None):
    """On a push with one sheet for doors wired alike, in a sweep with one for each."""
    folder = tmp_path_factory.mktemp("office")
    site = folder / "site"
    shutil.copytree(office, site)
    for path in site.iterdir():
        path.chmod(0o644)
    marks = ", ".join(f'"{mark}"' for mark in controlled)
    (site / "mapping.toml").write_text(MAPPING.format(marks=marks), "utf-8")
    (site / "switches.csv").write_text(SWITCHES, "utf-8")
    return build_site(site, folder / "out", BuildOptions(details=request.param)), folder / "out"


def test_at_least_forty_openings_by_the_stated_rule(built, controlled):
    design = built[0].checked.design
    assert len(controlled) >= 40
    assert [d.mark for d in design.doors] == list(controlled)
    assert not design.not_placed


def test_lengths_are_those_of_the_building_s_own_coordinates(built, controlled, office):
    """No pathways are drawn, so a length is |dx| + |dy| at ceiling height, up and down at both ends, and slack."""
    rooms = {row["room"]: row for row in csv_rows(office / "rooms.csv")}
    floors = {row["level"]: float(row["elevation_m"]) for row in csv_rows(office / "levels.csv")}
    ceiling_m, hand_m, rack_m = 3.0, 1.2, 1.2
    for door in built[0].checked.design.doors:
        row, closet = controlled[door.mark], rooms[door.placement.closet]
        across_m = abs(float(row["x_m"]) - float(closet["x_m"])) + abs(float(row["y_m"]) - float(closet["y_m"]))
        rise_m = abs(floors[row["level"]] - floors[closet["level"]])
        expected_m = across_m + rise_m + (ceiling_m - hand_m) + (ceiling_m - rack_m) + SLACK_M
        assert door.cable.route.length_m == pytest.approx(expected_m, abs=1e-6), door.mark
        assert str(door.cable.route.basis) == "estimated"


def test_every_opening_goes_to_the_nearer_room(built, controlled, office):
    rooms = {row["room"]: row for row in csv_rows(office / "rooms.csv")}
    floors = {row["level"]: float(row["elevation_m"]) for row in csv_rows(office / "levels.csv")}

    def far_m(row: dict[str, str], room: str) -> float:
        plan = abs(float(row["x_m"]) - float(rooms[room]["x_m"])) + abs(float(row["y_m"]) - float(rooms[room]["y_m"]))
        return plan + abs(floors[row["level"]] - floors[rooms[room]["level"]])

    for door in built[0].checked.design.doors:
        row = controlled[door.mark]
        assert door.placement.closet == min(("115", "217"), key=lambda room: far_m(row, room)), door.mark


def test_ports_and_labels_are_each_used_once(built):
    design = built[0].checked.design
    ports = [(d.placement.switch, d.placement.port) for d in design.doors]
    labels = [d.cable.label for d in design.doors]
    assert len(set(ports)) == len(ports)
    assert len(set(labels)) == len(labels)
    assert all(re.fullmatch(r"[12]A-A\d\d", label) for label in labels)


def test_power_at_the_far_end_by_the_published_formula(built):
    """Class 3 (IEEE 802.3: 44 V, 15.4 W, two pairs): V_PD from the constant-power quadratic, R from IACS copper.

    What the bundle adds to the 40 °C is held against NEC table 725.144 in tests/standards.
    """
    made = built[0].checked.design
    for door in made.doors:
        hot = 1 + ALPHA_PER_K * (40 + made.heat.on(door.cable.route).rise_k - 20)
        loop_ohm = R23_OHM_PER_M * door.cable.route.length_m * hot + STRANDED * R24_OHM_PER_M * 8
        need_w = door.link.pd_need_w
        volts = (44 + math.sqrt(44**2 - 4 * loop_ohm * need_w)) / 2
        assert door.link.loop_ohm == pytest.approx(loop_ohm, rel=1e-3)
        assert door.link.pd_v == pytest.approx(volts, rel=1e-4)


def test_lock_voltage_by_a_series_loop(built):
    """Lowest source 12 V less 5 %, strike 48 ohm, both conductors of the lock cable at 40 °C, contact and source."""
    for door in built[0].checked.design.doors:
        cable = next(c for c in door.wiring.netlist.cables if c.role == "lock")
        per_m = 26.1e-3 / (1 + ALPHA_PER_K * 55)  # NEC chapter 9 table 8, 18 AWG 7-strand at 75 °C, back to 20 °C
        wires_ohm = 2 * per_m * cable.length_m * (1 + ALPHA_PER_K * 20)
        volts = 12 * 0.95 * 48 / (48 + wires_ohm + 0.02 + 2 * 0.05)
        assert door.wiring.voltages.lock_low_v == pytest.approx(volts, rel=1e-4)


def test_channel_length_findings_follow_from_the_lengths(built):
    """TIA-568 derating: 84 m at 40 °C with 10 m of cords; with 8 m of cords the limit lies between 84 m and 90 m."""
    checked = built[0].checked
    verdicts = {f.subject: f.verdict for f in checked.findings if f.rule == "channel-length"}
    for door in checked.design.doors:
        length_m = door.cable.route.length_m
        if length_m <= 84:
            assert verdicts[door.mark] is Verdict.PASS, door.mark
        if length_m > 90:
            assert verdicts[door.mark] is Verdict.FAIL, door.mark


def test_every_mark_and_cable_label_is_on_the_drawings(built):
    design = built[0].checked.design
    texts = set()
    for path in sorted((built[1] / "drawings").glob("*.dxf")):
        doc = ezdxf.readfile(path)
        assert not doc.audit().errors
        for layout in doc.layouts:
            for entity in layout:
                texts.update(a.dxf.text for a in getattr(entity, "attribs", ()))
                if entity.dxftype() == "TEXT":
                    texts.add(entity.dxf.text)
    shown = " ".join(sorted(texts))
    for door in design.doors:
        assert door.mark in shown
        assert door.cable.label in shown
