"""Text with a unit becomes the SI number that the published factors give, or is refused; never something near."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.quantities.stated import UNITS, parse_gauge, parse_quantity, unit_named

# NIST Special Publication 811 (2008), appendix B.8, factors set in bold there (exact): foot 0.3048 m, inch 0.0254 m,
# yard 0.9144 m, pound-force 4.448 221 615 260 5 N, kilogram-force 9.806 65 N, hour 3600 s, minute 60 s; and appendix B.9,
# temperature: t/°C = (t/°F - 32)/1.8. SI prefixes: BIPM SI brochure, 9th edition, table 7.
PUBLISHED = [
    ("1 ft", "m", Fraction("0.3048")),
    ("1 in", "m", Fraction("0.0254")),
    ("1 yd", "m", Fraction("0.9144")),
    ("138 ft", "m", 138 * Fraction("0.3048")),
    ("138'-6\"", "m", 138 * Fraction("0.3048") + 6 * Fraction("0.0254")),
    ("138' 6 1/2\"", "m", 138 * Fraction("0.3048") + Fraction(13, 2) * Fraction("0.0254")),
    ("138 ft 6 in", "m", 138 * Fraction("0.3048") + 6 * Fraction("0.0254")),
    ("138 ft. 6 in.", "m", 138 * Fraction("0.3048") + 6 * Fraction("0.0254")),
    ("138’ 6”", "m", 138 * Fraction("0.3048") + 6 * Fraction("0.0254")),
    ("138′6″", "m", 138 * Fraction("0.3048") + 6 * Fraction("0.0254")),
    ("138'-0 1/4\"", "m", 138 * Fraction("0.3048") + Fraction(1, 4) * Fraction("0.0254")),
    ("138'-1/4\"", "m", 138 * Fraction("0.3048") + Fraction(1, 4) * Fraction("0.0254")),
    ("-3'-6\"", "m", -3 * Fraction("0.3048") - 6 * Fraction("0.0254")),
    ("−3 ft", "m", -3 * Fraction("0.3048")),
    ("6 1/2\"", "m", Fraction(13, 2) * Fraction("0.0254")),
    ("6-1/2 in", "m", Fraction(13, 2) * Fraction("0.0254")),
    ("1/4\"", "m", Fraction(1, 4) * Fraction("0.0254")),
    ("61/2\"", "m", Fraction(61, 2) * Fraction("0.0254")),
    ("36\"", "m", 36 * Fraction("0.0254")),
    ("915 mm", "m", Fraction("0.915")),
    ("91.5cm", "m", Fraction("0.915")),
    ("0.2 KM", "m", Fraction(200)),
    ("0,915", "m", Fraction("0.915")),
    ("1,5 m", "m", Fraction("1.5")),
    ("12\u00a0m", "m", Fraction(12)),
    ("42", "m", Fraction(42)),
    (".5", "m", Fraction("0.5")),
    ("1e-3", "m", Fraction("0.001")),
    ("500 mA", "a", Fraction("0.5")),
    ("250 µA", "a", Fraction("0.00025")),
    ("250 μA", "a", Fraction("0.00025")),
    ("12 V DC", "v", Fraction(12)),
    ("12vdc", "v", Fraction(12)),
    ("1.2 kV", "v", Fraction(1200)),
    ("0.3 KW", "w", Fraction(300)),
    ("24 Ω", "ohm", Fraction(24)),
    ("24 \u2126", "ohm", Fraction(24)),
    ("4.7 kohm", "ohm", Fraction(4700)),
    ("12.5 mH", "h", Fraction("0.0125")),
    ("2 min", "s", Fraction(120)),
    ("4 h", "s", Fraction(14400)),
    ("7000 mAh", "ah", Fraction(7)),
    ("104 °F", "c", Fraction(40)),
    ("-40F", "c", Fraction(-40)),
    ("212 ℉", "c", Fraction(100)),
    ("40 °C", "c", Fraction(40)),
]  # fmt: skip


@pytest.mark.parametrize(("text", "suffix", "expected"), PUBLISHED, ids=str)
def test_published_factors(text, suffix, expected):
    # relative 1e-15 is a few units in the last place of a double, the rounding of two or three operations
    assert parse_quantity(text, suffix) == pytest.approx(float(expected), rel=1e-15)


REFUSED = [
    ("", "m"), ("abc", "m"), ("12 V", "m"), ("12 m", "v"), ("1e999", "m"), ("nan", "m"), ("inf m", "m"),
    ("1,250", "m"), ("12,000 ft", "m"), ("1.000,5", "m"), ("1 000 m", "m"), ("--3", "m"), ("3'-1/0\"", "m"),
    ("1/0\"", "m"), ("5²", "m"), ("6½\"", "m"), ("٣", "m"), ("3 ft 4 ft", "m"), ("0x10", "m"), ("1_000", "m"),
    ("5 MA", "a"), ("5 MW", "w"), ("5 Mohm", "ohm"), ("5 MΩ", "ohm"), ("7 MAH", "ah"), ("3 .", "m"), ("3 m m", "m"),
    (True, "m"), (None, "m"), ([3], "m"), (math.nan, "m"), (math.inf, "m"), (10**400, "m"),
]  # fmt: skip


@pytest.mark.parametrize(("value", "suffix"), REFUSED, ids=lambda x: str(x)[:20])
def test_what_could_be_misread_is_refused(value, suffix):
    with pytest.raises(ValueError, match="expected"):
        parse_quantity(value, suffix)


def test_a_thousands_comma_is_named():
    with pytest.raises(ValueError, match=r"could be 1250 or 1\.250"):
        parse_quantity("1,250 ft", "m")


@pytest.mark.parametrize("suffix", UNITS)
def test_every_unit_is_read_as_it_is_spelled(suffix):
    for unit, factor in UNITS[suffix].items():
        expected = factor if math.isfinite(factor) else (1 - 32) / 1.8
        assert parse_quantity(f"1 {unit}", suffix) == pytest.approx(expected, rel=1e-10)
        assert parse_quantity(1, suffix, unit) == pytest.approx(expected, rel=1e-10)


@given(st.floats(-1e9, 1e9))
def test_a_bare_number_is_itself(number):
    assert parse_quantity(repr(number), "m") == number
    assert parse_quantity(number, "m") == number


@given(st.text(max_size=20), st.sampled_from(sorted(UNITS)))
def test_any_text_is_a_finite_number_or_a_value_error(text, suffix):
    try:
        assert math.isfinite(parse_quantity(text, suffix))
    except ValueError as error:
        assert "expected" in str(error)


@pytest.mark.parametrize(
    ("word", "suffix", "unit"),
    [("ft", "m", "ft"), ("MM", "m", "mm"), ("ma", "a", "mA"), ("f", "c", "F"), ("a", "m", ""), ("", "m", "")],
)
def test_units_in_headers(word, suffix, unit):
    assert unit_named(word, suffix) == unit


@pytest.mark.parametrize(
    ("text", "gauge"),
    [
        ("18 AWG", "18 AWG"), ("18awg", "18 AWG"), ("AWG 18", "18 AWG"), ("AWG #18", "18 AWG"), ("#18 AWG", "18 AWG"),
        ("18 ga", "18 AWG"), ("0.75 mm2", "0.75 mm2"), ("0,75 mm²", "0.75 mm2"), ("1.50 mm^2", "1.5 mm2"),
    ],
)  # fmt: skip
def test_gauges(text, gauge):
    assert parse_gauge(text) == gauge


@pytest.mark.parametrize(
    "value", ["18", 18, "0 AWG", "31 AWG", "0.04 mm2", "51 mm2", "18 mm", "", True, None, "١٨ AWG"]
)
def test_a_gauge_without_a_sound_size_is_refused(value):
    with pytest.raises(ValueError, match=r"expected a conductor size such as 18 AWG or 0\.75 mm2"):
        parse_gauge(value)
