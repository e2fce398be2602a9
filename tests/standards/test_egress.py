"""Egress sections, conditions and cautions."""

from __future__ import annotations

import pytest

from riserkit.model.confirmations import Condition
from riserkit.standards import egress
from riserkit.standards.egress_conditions import CONDITIONS, CONDITIONS_OF
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
    assert f"{egress.EFFORT_TIME_MAX_S.value:g} s of effort" in CONDITIONS["delay-irreversible"]
    assert f"({egress.DELAY_SIGN_DISTANCE_MAX_M.value * 1000:.0f} mm)" in CONDITIONS["delay-sign"]
    assert f"{egress.DELAY_APPROVED_MAX_S.value:g} s" in CONDITIONS["longer-delay-approved"]


def test_every_condition_that_can_be_confirmed_is_in_words_and_the_other_way_round() -> None:
    assert set(CONDITIONS) == {condition.value for condition in Condition}
    assert set(CONDITIONS_OF) <= set(egress.SECTIONS)
    assert {name for names in CONDITIONS_OF.values() for name in names} <= set(CONDITIONS)
