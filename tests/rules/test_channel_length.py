"""Lengths that the cabling standard allows, and the way out when they are exceeded (limits: TIA-568.2-D tables)."""

import pytest

from riserkit.model.info import SiteInfo
from riserkit.rules._shared.channel_limits import ChannelLimits
from riserkit.rules.channel_length import ChannelLength

COOL = {"pathway_c": 20.0}
TWO_SEGMENTS = (
    {"id": "S1", "from_node": "a", "to_node": "b", "temperature_c": 60.0},
    {"id": "S2", "from_node": "b", "to_node": "c", "temperature_c": 50.0},
)
HOT_SEGMENT = ({"id": "S1", "from_node": "a", "to_node": "b", "temperature_c": 60.0},)
COLD_SEGMENT = ({"id": "S1", "from_node": "a", "to_node": "b", "temperature_c": 5.0},)
VERY_HOT_SEGMENT = ({"id": "S1", "from_node": "a", "to_node": "b", "temperature_c": 65.0},)


def door(length_m, **more):
    return ({"length_m": length_m, **more},)


CASES = [
    pytest.param({"doors": door(50)}, {"verdict": "pass", "limit": 84, "margin": 34}, id="passes at 40 °C"),
    pytest.param(
        {"doors": door(84)}, {"verdict": "pass", "source": "length at temperature"}, id="names the temperature table"
    ),
    pytest.param({"doors": door(84)}, {"verdict": "pass", "margin": 0}, id="at the limit of 40 °C"),
    pytest.param({"doors": door(84.01)}, {"verdict": "fail", "limit": 84, "message": "84.01 m"}, id="beyond 40 °C"),
    pytest.param({"info": COOL, "doors": door(90)}, {"verdict": "pass", "limit": 90, "margin": 0}, id="90 m at 20 °C"),
    pytest.param({"info": COOL, "doors": door(90.1)}, {"verdict": "fail", "limit": 90}, id="beyond 90 m"),
    pytest.param(
        {"doors": door(96), "routes": {("C2", "101"): 71}},
        {"verdict": "fail", "margin": -12, "remedy": "Move to closet C2: 71 m, 24 ports free"},
        id="another closet is near enough",
    ),
    pytest.param(
        {"doors": door(96), "routes": {("C2", "101"): 84.5}},
        {"verdict": "fail", "remedy": "A new switch position within 84 m of cable, 12 m nearer than now."},
        id="the other closet is too far as well",
    ),
    pytest.param(
        {"doors": door(96), "routes": {("C2", "101"): 71}, "switches": ({},)},
        {"verdict": "fail", "not_in_remedy": "closet"},
        id="the other closet has no port",
    ),
    pytest.param(
        {"doors": door(96), "routes": {("C1", "101"): 71}},
        {"verdict": "fail", "not_in_remedy": "closet"},
        id="its own closet is no remedy",
    ),
    pytest.param(
        {"info": {**COOL, "cords_total_m": 15}, "doors": door(84)}, {"verdict": "pass", "margin": 0}, id="cords of 15 m"
    ),
    pytest.param(
        {"info": {**COOL, "cords_total_m": 15}, "doors": door(87)},
        {"verdict": "fail", "limit": 84, "remedy": "Cords of at most 12.5 m together instead of 15 m"},
        id="shorter cords would do",
    ),
    pytest.param(
        {"info": {**COOL, "cord_gauge": "26 AWG"}, "doors": door(87)}, {"verdict": "pass", "margin": 0}, id="thin cords"
    ),
    pytest.param(
        {"doors": door(85)}, {"verdict": "fail", "remedy": "Screened cable, good for 87 m here."}, id="screened would do"
    ),
    pytest.param(
        {"doors": door(87, cable="scr"), "cable_types": (
            {"id": "scr", "kind": "category", "category": "6A", "gauge": "23 AWG", "screened": True},)},
        {"verdict": "pass", "margin": 0},
        id="screened cable at its limit",
    ),
    pytest.param(
        {"segments": HOT_SEGMENT, "doors": door(75.1, segments=["S1"])},
        {"verdict": "fail", "limit": 75, "message": "at 60 °C"},
        id="the hottest stretch counts",
    ),
    pytest.param(
        {"segments": TWO_SEGMENTS, "doors": door(78, segments=["S1", "S2"])},
        {"verdict": "fail", "limit": 75},
        id="the hotter of two stretches",
    ),
    pytest.param(
        {"segments": HOT_SEGMENT, "doors": door(80)}, {"verdict": "pass", "limit": 84}, id="a stretch not on the way"
    ),
    pytest.param(
        {"segments": COLD_SEGMENT, "doors": door(85, segments=["S1"])},
        {"verdict": "fail", "limit": 84},
        id="a cool stretch lengthens nothing",
    ),
    pytest.param(
        {"segments": VERY_HOT_SEGMENT, "doors": door(50, segments=["S1"])},
        {"verdict": "not evaluated", "message": "65"},
        id="hotter than the table",
    ),
    pytest.param(
        {"segments": VERY_HOT_SEGMENT, "doors": door(75.1, segments=["S1"])},
        {"verdict": "fail", "limit": 75},
        id="hotter than the table and too long even at its end",
    ),
    pytest.param(
        {"info": {"cord_gauge": "22 AWG", "cords_total_m": 20}, "doors": door(80)},
        {"verdict": "not evaluated", "message": "22 AWG"},
        id="cord gauge without a formula, within the channel",
    ),
    pytest.param(
        {"info": {"cord_gauge": "0.2 mm2", "cords_total_m": 20}, "doors": door(80.1)},
        {"verdict": "fail", "limit": 80},
        id="cord gauge without a formula, beyond the channel",
    ),
    pytest.param(
        {"info": {"unit_system": "imperial"}, "doors": door(71)},
        {"verdict": "pass", "value": 71, "message": "233 ft", "unit": "m"},
        id="text in feet, value in metres",
    ),
    pytest.param({"doors": door(None)}, {"verdict": "not evaluated"}, id="no way"),
    pytest.param({"doors": ({"placed": False},)}, {"verdict": "not evaluated"}, id="no cable"),
    pytest.param({"doors": door(50, cable="18-2")}, {"verdict": "not evaluated"}, id="no balanced cable"),
    pytest.param(
        {"backbone": ({"from_id": "C1", "to_id": "C2", "cable": "cat6", "length_m": 95},)},
        {"verdict": "fail", "subject": "C1>C2", "subject_kind": "cable", "remedy": "84 m"},
        id="copper backbone",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), CASES)
def test_channel_length(judge, spec, expected):
    judge("channel-length", spec, expected)


def test_source_without_derating_is_the_length_alone(findings_of):
    (found,) = findings_of("channel-length", {"info": COOL, "doors": door(90)})
    assert found.source == ChannelLength.source
    assert "temperature" not in found.source


def test_optical_backbone_is_not_measured(findings_of):
    backbone = ({"from_id": "C1", "to_id": "C2", "length_m": 300},)
    assert {f.subject for f in findings_of("channel-length", {"backbone": backbone})} == {"101"}


@pytest.mark.parametrize(("segments", "temp_c"), [(HOT_SEGMENT, 60), (COLD_SEGMENT, 40), ((), 40)])
def test_the_hottest_stretch_counts_and_none_is_colder_than_the_sites_pathways(build, segments, temp_c):
    design = build({"segments": segments, "doors": door(50, segments=[s["id"] for s in segments], placed=True)})
    found = ChannelLimits(design).temperature_c(design.doors[0].cable.route)
    assert found == temp_c


def test_site_defaults_are_what_the_cases_rest_on():
    info = SiteInfo()
    assert (info.pathway_c, info.cords_total_m, info.cord_gauge) == (40.0, 10.0, "24 AWG")
