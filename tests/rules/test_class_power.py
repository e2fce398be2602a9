"""Watts that arrive at the door (IEEE 802.3-2022 class powers), and what would bring enough."""

import pytest

from riserkit.rules.class_power import arriving_w
from riserkit.standards.poe import POE_CLASSES


def link(need_w, limit_w=25.5, **more):
    return {"link": {"pd_need_w": need_w, "pd_limit_w": limit_w, **more}}


LONG = {"poe_class": 4, "device_class": 4, "loop_ohm": 15.0}
CASES = [
    pytest.param({"doors": (link(20),)}, {"verdict": "pass", "margin": 5.5, "unit": "W"}, id="enough"),
    pytest.param({"doors": (link(25.5),)}, {"verdict": "pass", "margin": 0}, id="at the limit"),
    pytest.param(
        {"doors": (link(12.96, 12.95, poe_class=3),)},
        {"verdict": "fail", "message": "12.96 W; class 3 grants 12.95 W", "remedy": "Use a port of class 4: 25.5 W arrive"},
        id="the port's class is too low",
    ),
    pytest.param(
        {"doors": (link(14, 12.95, device_class=3),)},
        {"verdict": "fail", "message": "class 3 grants", "remedy": "Use a device of class 4: 25.5 W arrive", "not_in_remedy": "ort of"},
        id="the device asks for too low a class",
    ),
    pytest.param(
        {"doors": (link(14, 12.95, device_class=3, poe_class=3),)},
        {"verdict": "fail", "remedy": "Use a port and a device of class 4: 25.5 W arrive"},
        id="both are too low",
    ),
    pytest.param(
        {"doors": (link(14, 12.95, device_class=None, poe_class=0),)},
        {"verdict": "fail", "remedy": "Use a port of class 4"},
        id="device of unknown class",
    ),
    pytest.param(
        # Four pairs halve the loop: 45 W at 50 V is 0.9 A, and 45 - 0.81 * 7.5 = 38.9 W.
        {"doors": (link(25.6, 24.6, **LONG),)},
        {"verdict": "fail", "remedy": "Use a port and a device of class 5: 38.92 W arrive"},
        id="four pairs carry more over the same cable",
    ),
    pytest.param(
        {"doors": (link(80, 25.5),)}, {"verdict": "fail", "remedy": "Take 54.5 W off this cable"}, id="no class is enough"
    ),
    pytest.param({"doors": (link(None),)}, {"verdict": "not evaluated", "message": "none is stated"}, id="need unknown"),
    pytest.param({"doors": ({"link": None},)}, {"verdict": "not evaluated"}, id="no link"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), CASES)
def test_class_power(judge, spec, expected):
    judge("class-power", spec, expected)


def test_a_gauge_no_thicker_than_the_cable_is_no_remedy(judge):
    """Category 6 is 23 AWG as it is; 22 AWG is the only gauge to offer."""
    door = {**link(24.7, 24.6, **LONG), "length_m": 100, "cable": "cat6"}
    judge("class-power", {"doors": (door,)}, {"verdict": "fail", "remedy": "; or 22 AWG instead of 23 AWG: 25."})


def test_the_whole_power_of_the_class_can_be_had_over_a_shorter_cable(judge):
    """25.5 W is all that class 4 lets a device draw: 4.5 W may be lost. Not even 22 AWG saves enough of 17 ohm."""
    door = {**link(25.5, 23.88, **{**LONG, "loop_ohm": 17.0}), "length_m": 100, "cable": "cat5e"}
    expected = {"verdict": "fail", "remedy": "a permanent link of at most 5", "not_in_remedy": "instead of"}
    judge("class-power", {"doors": (door,)}, expected)


@pytest.fixture
def long_24_awg():
    """100 m of 24 AWG at 40 °C: two conductors' resistance in parallel, twice, 0.0842 ohm/m by the AWG formula (IACS)."""
    r24 = 1.7241e-8 / (0.25 * 3.141592653589793 * (0.127e-3 * 92 ** (12 / 39)) ** 2)
    return 100 * r24 * (1 + 0.00393 * 20)


def test_thicker_gauge(judge, long_24_awg):
    # Each gauge step thins the area by 92^(2/39): 23 AWG saves that share of the cable's loop, cords stay.
    saved_ohm = long_24_awg * (1 - 92 ** (-2 / 39))
    watts = 30 - 0.36 * (15 - saved_ohm)
    assert 25.0 < watts < 25.5, "the case itself has to be one that the gauge decides"
    door = {**link(25.0, 24.6, **LONG), "length_m": 100, "cable": "cat5e"}
    remedy = f"23 AWG instead of 24 AWG: {int(watts * 100) / 100} W"
    judge("class-power", {"doors": (door,)}, {"verdict": "fail", "remedy": remedy})


def test_shorter_cable_would_just_do(judge, long_24_awg):
    # 30 W less 25 W may be lost at 0.6 A: 13.889 ohm; the rest of the loop stays.
    shorter_m = 100 * (1 - (15 - 5 / 0.36) / long_24_awg)
    door = {**link(25.0, 24.6, **LONG), "length_m": 100, "cable": "cat5e"}
    remedy = f"a permanent link of at most {int(shorter_m * 10) / 10} m"
    judge("class-power", {"doors": (door,)}, {"verdict": "fail", "remedy": remedy})


@pytest.mark.parametrize("number", [3, 4, 6, 8])
def test_full_class_power_arrives_over_the_longest_channel(number):
    """At the highest channel resistance the published device power is what is left (to their rounding of 0.1 W)."""
    row = POE_CLASSES[number]
    assert arriving_w(row, row.r_loop_max_ohm) == pytest.approx(row.p_pd_w, abs=0.1)


def test_nothing_arrives_over_a_hopeless_cable():
    assert arriving_w(POE_CLASSES[4], 1000.0) == 0.0


LOW = link(14, 12.95, poe_class=3, device_class=4, loop_ohm=10.0, temperature_c=20.0)
TWO = ({"poe_class": 3}, {"id": "SW2", "closet": "C2", "poe_class": 4})


def cat6_ohm(length_m):
    """Loop of 23 AWG over two pairs at 20 °C: one conductor's resistance for each metre (AWG formula, IACS)."""
    return length_m * 1.7241e-8 / (0.25 * 3.141592653589793 * (0.127e-3 * 92 ** (13 / 39)) ** 2)


def placed(switches=TWO, length_m=60.0, doors=(LOW,), **more):
    return {"doors": doors, "switches": switches, "routes": {("C2", "101"): length_m}, **more}


def test_the_closest_closet_with_a_port_of_the_class_is_named(judge):
    """C2 is 10 m farther than the 50 m to C1: 30 W less what its loop takes at 0.6 A arrive."""
    watts = min(25.5, 30 - 0.36 * (10 + cat6_ohm(10)))
    remedy = f"class 4: 25.5 W arrive (closet C2 has 24 free, the first on SW2: 60 m of cable, {watts:g} W)"
    judge("class-power", placed(), {"verdict": "fail", "remedy": remedy})


def test_watts_named_are_those_over_the_other_closet_s_cable(judge):
    door = link(14, 12.95, poe_class=3, device_class=4, loop_ohm=15.0, temperature_c=20.0)
    watts = int(100 * (30 - 0.36 * (15 + cat6_ohm(40)))) / 100
    assert watts < 24.6
    judge(
        "class-power",
        placed(length_m=90.0, doors=(door,)),
        {"verdict": "fail", "remedy": f": 90 m of cable, {watts} W)"},
    )


@pytest.mark.parametrize(
    "spec",
    [
        pytest.param(placed(({"poe_class": 3}, {"id": "SW2", "closet": "C2", "poe_class": 3})), id="no port of the class"),
        pytest.param(placed(length_m=90.1), id="out of reach"),
        pytest.param({**placed(), "routes": {}}, id="no way"),
        pytest.param(
            # 24.2 W arrive over 16 ohm, and not over the 40 m more to C2
            placed(length_m=90.0, doors=(link(24.2, 12.95, poe_class=3, device_class=4, loop_ohm=16.0, temperature_c=20.0),)),
            id="too little arrives",
        ),
        pytest.param(
            placed(({"poe_class": 3}, {"id": "SW2", "closet": "C2", "ports": 3, "uplink_ports": 2, "poe_class": 4}),
                   doors=(LOW, {**link(5), "switch": "SW2", "closet": "C2", "port": 1})),
            id="only uplinks are free",
        ),
    ],
)  # fmt: skip
def test_a_closet_whose_ports_do_not_do_is_not_named(judge, spec):
    judge("class-power", spec, {"verdict": "fail", "remedy": "a port of class 4", "not_in_remedy": "(closet"})


def test_the_door_s_own_closet_comes_first_where_another_switch_there_has_the_class(judge):
    switches = (*TWO, {"id": "SW3", "closet": "C1", "ports": 8, "uplink_ports": 1, "port_classes": "1-4:3 5-8:6"})
    judge(
        "class-power",
        placed(switches),
        {"verdict": "fail", "remedy": "(closet C1 has 3 free, the first on SW3: 50 m of"},
    )


def test_a_device_on_a_lower_class_than_it_asks_for_is_told_of_a_closet_too(judge):
    door = link(10, 12.95, poe_class=3, device_class=4, loop_ohm=10.0)
    remedy = (
        "Use a port of class 4 (closet C2 has 24 free, the first on SW2: 60 m of cable, 25.5 W); or get it in writing"
    )
    expected = {"verdict": "fail", "severity": "warning", "about": "asks for class 4", "remedy": remedy}
    judge("class-power", placed(doors=(door,)), expected)
