"""Numbers as people read them; factors are exact by definition (NIST SP 811: foot 0.3048 m)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.quantities.printed import format_at_least, format_at_most, format_length, format_pair, format_value


@pytest.mark.parametrize(
    ("length_m", "metric", "imperial"),
    [
        (71, "71 m", "233 ft"),
        (90, "90 m", "295 ft"),
        (30.48, "30.5 m", "100 ft"),
        (30.4, "30.4 m", "99.7 ft"),
        (0, "0 m", "0 ft"),
    ],
)
def test_length(length_m, metric, imperial):
    assert (format_length(length_m), format_length(length_m, "imperial")) == (metric, imperial)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(11.3, "V", "11.3 V"), (12, "V", "12.0 V"), (0.6, "A", "0.60 A"), (0.025, "A", "0.025 A"), (0, "A", "0.00 A"), (-1e-12, "A", "0.00 A"),
     (12.95, "W", "12.95 W"), (30, "W", "30 W"), (100, "%", "100 %"), (5.123, "ohm", "5.12 ohm"), (3, "ports", "3 ports"),
     (20, "", "20")],
)  # fmt: skip
def test_value(value, unit, text):
    assert format_value(value, unit) == text


def test_temperature_follows_the_unit_system():
    assert (format_value(40, "°C"), format_value(40, "°C", "imperial")) == ("40 °C", "104 °F")


@pytest.mark.parametrize(
    ("value", "limit", "unit", "system", "pair"),
    [
        (10.19, 10.2, "V", "metric", ("10.19 V", "10.20 V")),
        (10.2, 10.2, "V", "metric", ("10.2 V", "10.2 V")),
        (90.004, 90, "m", "metric", ("90.004 m", "90 m")),
        (84.01, 84, "m", "imperial", ("275.62 ft", "275.59 ft")),
        (0.09, 0.6, "A", "metric", ("0.090 A", "0.600 A")),
    ],
)
def test_a_value_beyond_its_limit_never_reads_like_the_limit(value, limit, unit, system, pair):
    assert format_pair(value, limit, unit, system) == pair


UNITS = st.sampled_from(["V", "A", "W", "ohm", "m", "%", "°C", "s", "doors", ""])
SYSTEMS = st.sampled_from(["metric", "imperial"])


@given(st.floats(0, 1000), st.floats(1e-8, 10) | st.floats(1e-8, 1e-3), UNITS, SYSTEMS, st.integers(0, 2))
def test_no_rounding_hides_a_failure(limit, beyond, unit, system, least_decimals):
    """Whatever a rule tells apart, a reader does: the value printed is beyond the limit printed, on the same side."""
    for value in (limit + beyond, limit - beyond):
        pair = format_pair(value, limit, unit, system, least_decimals)
        shown, most = (float(text.split(" ")[0]) for text in pair)
        assert (shown > most) == (value > limit)
        assert shown != most


@given(st.floats(0, 1000), st.floats(0, 1e-10), UNITS)
def test_what_every_rule_takes_as_the_limit_reads_as_the_limit(limit, beyond, unit):
    shown, most = format_pair(limit + beyond, limit, unit)
    assert shown == most


@pytest.mark.parametrize(
    ("value", "unit", "most", "least"),
    [
        (6.39, "m", "6.3 m", "6.4 m"),
        (12.0, "V", "12.0 V", "12.0 V"),
        (0.1 + 0.2, "V", "0.3 V", "0.3 V"),
        (1.801, "A", "1.80 A", "1.81 A"),
    ],
)
def test_what_a_crew_is_told_holds_to_the_letter(value, unit, most, least):
    assert (format_at_most(value, unit), format_at_least(value, unit)) == (most, least)
