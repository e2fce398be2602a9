"""Four-pair cables that carry power in one bundle (NEC 2023 Table 725.144 and 725.144(A), verified)."""

import math

import pytest

CABLE = {"id": "own", "kind": "category", "gauge": "24 AWG", "category": "5e"}
AT_30 = {"pathway_c": 30.0}


def bundled(count, port=8, device=8, cable=None, info=None, **stretch):
    """Doors whose cables all run through one stretch of tray."""
    door = {"segments": ["T"], "poe_class": port, "cable": "own", "link": {"device_class": device}}
    return {
        "info": {**AT_30, **(info or {})},
        "cable_types": ({**CABLE, **(cable or {})},),
        "segments": ({"id": "T", "from_node": "a", "to_node": "b", "space": "general", **stretch},),
        "doors": tuple({**door, "wiring": {"circuit": None}} for _ in range(count)),
    }


CLASS_8_A = 90 / 52 / 4
# The pathway at which 19 cables of 24 AWG rated 60 °C carry exactly a class 8 port: 0.81 A sqrt((60 - t) / 30).
LIMIT_C = 60 - 30 * (CLASS_8_A / 0.81) ** 2
CASES = [
    pytest.param(bundled(19), {"verdict": "pass", "value": CLASS_8_A, "limit": 0.81}, id="nineteen of class 8"),
    pytest.param(bundled(92), {"verdict": "fail", "limit": 0.40, "remedy": "Bundles of at most 91 cables"}, id="ninety-two"),
    pytest.param(bundled(92), {"verdict": "fail", "remedy": "ports limited to class 6"}, id="or lower ports"),
    pytest.param(bundled(92, bundle_cables=91), {"verdict": "pass", "limit": 0.46}, id="tied smaller"),
    pytest.param(bundled(1, bundle_cables=92), {"verdict": "fail", "limit": 0.40}, id="tied to cables of others"),
    pytest.param(
        bundled(1, 4, 4, {"gauge": "26 AWG"}, bundle_cables=20), {"verdict": "pass", "limit": 0.55},
        id="others may have all pairs loaded",
    ),
    pytest.param(bundled(1, 4, 4), {"verdict": "pass", "message": "1 four-pair cable alone carries"}, id="a cable by itself"),
    pytest.param(bundled(19, temperature_c=LIMIT_C), {"verdict": "pass", "margin": 0}, id="warm, exactly at the limit"),
    pytest.param(bundled(19, temperature_c=LIMIT_C + 0.1), {"verdict": "fail"}, id="just too warm"),
    pytest.param(
        bundled(19, info={"pathway_c": 45.0}), {"verdict": "pass", "limit": 0.81 * math.sqrt(0.5)}, id="the site's pathways"
    ),
    pytest.param(bundled(192, 6, 6), {"verdict": "pass", "message": "needs no limit"}, id="0.3 A in 24 AWG is exempt"),
    pytest.param(
        bundled(20, 4, 4, {"gauge": "26 AWG"}), {"verdict": "pass", "limit": 0.55 * 1.4}, id="thin, two pairs of four loaded"
    ),
    pytest.param(bundled(20, 6, 6, {"gauge": "26 AWG"}), {"verdict": "pass", "limit": 0.55}, id="thin, all pairs loaded"),
    pytest.param(bundled(193), {"verdict": "not evaluated", "message": "engineering supervision"}, id="beyond the table"),
    pytest.param(bundled(2, 4, 4, {"gauge": "28 AWG"}), {"verdict": "not evaluated"}, id="thinner than the table"),
    pytest.param(bundled(2, cable={"gauge": "0.22 mm2"}), {"verdict": "not evaluated", "message": "0.22 mm2"}, id="a metric size"),
    pytest.param(bundled(92, cable={"rating_c": 90}), {"verdict": "pass", "limit": 0.55}, id="rated 90 °C"),
    pytest.param(bundled(92, cable={"rating_c": 80}), {"verdict": "pass", "limit": 0.48}, id="rated 80 °C takes the 75 °C column"),
    pytest.param(bundled(92, cable={"jacket": "CMP-LP (0.5 A)"}), {"verdict": "pass", "limit": 0.5}, id="limited-power mark"),
    pytest.param(
        bundled(92, device=3), {"verdict": "fail", "message": "port of class 8"}, id="what the port may give, not what hangs there"
    ),
    pytest.param(
        bundled(92, info={"electrical_code": "NEC 2026"}), {"verdict": "fail", "source": "NEC 2026: section numbers not verified"},
        id="another edition",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), CASES)
def test_bundle_ampacity(judge, spec, expected):
    judge("bundle-ampacity", spec, {"subject": "T", "subject_kind": "pathway", **expected})


def test_stretches_without_powered_cable_say_nothing(findings_of):
    unpowered = bundled(1)
    assert (
        findings_of("bundle-ampacity", {**unpowered, "doors": ({"placed": False, "wiring": {"circuit": None}},)}) == []
    )


def long(count, length_m, **more):
    spec = bundled(count, 6, 6, **more)
    return {**spec, "doors": ({**spec["doors"][0], "length_m": length_m}, *spec["doors"][1:])}


# 60 cables of class 6: 30 K (0.3 / 0.55)^2 over 30 °C is 38.9 °C; between 85.5 m at 35 °C and 84 m at 40 °C.
RISE_K = 30 * (0.3 / 0.55) ** 2
WARM_M = 85.5 - 1.5 * (RISE_K - 5) / 5


@pytest.mark.parametrize(
    ("spec", "expected"),
    [
        pytest.param(long(1, 87.0), {"verdict": "pass", "limit": 87}, id="alone"),
        pytest.param(long(60, WARM_M), {"verdict": "pass", "limit": WARM_M, "message": "a bundle of 60 cables adds 8.9 K"}, id="at"),
        pytest.param(long(60, WARM_M + 0.01), {"verdict": "fail", "limit": WARM_M}, id="beyond"),
        pytest.param(long(1, WARM_M, bundle_cables=60), {"verdict": "pass", "limit": WARM_M}, id="at, among cables of others"),
        pytest.param(long(1, WARM_M + 0.01, bundle_cables=60), {"verdict": "fail", "limit": WARM_M}, id="beyond, among others"),
        pytest.param(long(193, 75), {"verdict": "pass", "limit": 87}, id="rise not published, short enough at 60 °C"),
        pytest.param(long(193, 75.1), {"verdict": "not evaluated", "remedy": "bundle_cables"}, id="rise not published"),
        pytest.param(long(193, 87.1), {"verdict": "fail", "limit": 87}, id="too long anyhow"),
    ],
)  # fmt: skip
def test_a_bundle_shortens_the_link(judge, spec, expected):
    judge("channel-length", spec, expected)
