"""The rule `reach-height`: readers within ADA 2010 308.2.1 (15 to 48 in, verified), switches at 40 to 48 in (from memory)."""

import pytest

from riserkit.findings import Severity, Verdict
from riserkit.rules._shared.evaluate import check
from tests.known_bad.designs import design_of

INCH_M = 0.0254
BUTTON = {"rex": "rex-button"}


def judged(about, **opening):
    return [
        f
        for f in check(design_of({"door": "bare", "opening": opening}))
        if (f.rule, f.about) == ("reach-height", about)
    ]


@pytest.mark.parametrize(
    ("about", "column", "more", "limits_in"),
    [
        ("reader", "reader_height_m", {}, (15, 48)),
        ("exit switch", "rex_height_m", BUTTON, (40, 48)),
        ("manual release", "release_height_m", {"release": "release-30"}, (40, 48)),
    ],
)
def test_a_height_at_a_limit_is_kept_and_an_inch_beyond_is_not(about, column, more, limits_in):
    for inches, off, word in zip(limits_in, (-1, 1), ("higher", "lower"), strict=True):
        (at,) = judged(about, **more, **{column: inches * INCH_M})
        (beyond,) = judged(about, **more, **{column: (inches + off) * INCH_M})
        assert at.verdict is Verdict.PASS
        assert (beyond.verdict, beyond.severity) == (Verdict.FAIL, Severity.WARNING)
        assert f" {word}, or check the height stated." in beyond.remedy
        assert beyond.limit == pytest.approx(inches * INCH_M)


def test_nothing_is_said_of_what_is_not_stated_nor_of_a_sensor_above_the_header():
    assert judged("reader") == []
    assert judged("exit switch", rex="rex-motion", rex_height_m=2.3) == []


def test_of_a_sensor_released_door_the_placing_of_its_release_is_judged_once():
    found = check(design_of({"door": "strike", "opening": {"egress": "sensor-release", "release": "release-30",
                                                           "release_height_m": 2.0}}))  # fmt: skip
    assert [f.rule for f in found if f.about in ("height", "manual release")] == ["manual-release-placing"]
