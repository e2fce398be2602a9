"""Egress sections, conditions and cautions."""

from __future__ import annotations

import pytest

from riserkit.standards import egress
from riserkit.standards.source import NotTabulatedError


def test_a_section_says_how_surely_it_is_known() -> None:
    assert egress.section_source("sensor release", "2021").cite() == "IBC 2021 1010.2.12 (verified)"
    assert egress.section_source("sensor release", "2018").confidence == "from memory"
    assert egress.section_source("delayed egress", "2018").confidence == "verified"


@pytest.mark.parametrize(
    ("subject", "edition"), [("elevator lobby", "2021"), ("sensor release", "2015"), ("roof", "2021")]
)
def test_a_section_that_is_not_known_gives_no_verdict(subject: str, edition: str) -> None:
    with pytest.raises(NotTabulatedError, match=f"{subject}.*{edition}"):
        egress.section_source(subject, edition)


def test_no_two_subjects_share_a_section_of_one_edition() -> None:
    for edition in egress.EDITIONS:
        sections = [rows[edition] for rows in egress.SECTIONS.values() if edition in rows]
        assert len(set(sections)) == len(sections)


def test_cautions_defer_to_code_authority_and_licensed_practice() -> None:
    text = " ".join(egress.STANDING_CAUTIONS)
    for words in ("code", "authority having jurisdiction", "licensed", "tested on site", "Mains"):
        assert words in text


def test_conditions_print_the_numbers_of_the_limits() -> None:
    conditions = " ".join(egress.SENSOR_RELEASE_CONDITIONS)
    for limit in (
        egress.MANUAL_RELEASE_HEIGHT_MIN_M,
        egress.MANUAL_RELEASE_HEIGHT_MAX_M,
        egress.MANUAL_RELEASE_DISTANCE_MAX_M,
    ):
        assert f"{limit.value * 1000:.0f}" in conditions
    assert egress.MANUAL_RELEASE_SIGN in conditions
    assert f"{egress.DELAY_MAX_S.value:g} s" in " ".join(egress.DELAYED_EGRESS_CONDITIONS)
