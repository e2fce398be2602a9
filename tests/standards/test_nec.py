"""Sections of the electrical code by edition: never that of an edition that was not seen."""

from __future__ import annotations

import pytest

from riserkit.standards.nec import CLAUSES, cite_nec, nec_edition


@pytest.mark.parametrize(
    ("code", "edition"),
    [
        ("NEC 2023, as adopted locally", "2023"),
        ("2020 NEC", "2020"),
        ("NFPA 70-2026", "2026"),
        ("NFPA 70, 2017", "2017"),
        ("local code", ""),
        ("IBC 2021", ""),
        ("", ""),
    ],
)
def test_the_edition_that_a_site_names(code: str, edition: str) -> None:
    assert nec_edition(code) == edition


@pytest.mark.parametrize("subject", CLAUSES)
def test_a_section_is_cited_for_its_own_edition_only(subject: str) -> None:
    newest = cite_nec(subject, "NEC 2023")
    assert newest.startswith("NEC 2023 ")
    assert cite_nec(subject, "NEC 2020").startswith("NEC 2020 ")
    assert "from memory" in cite_nec(subject, "NEC 2020")
    assert cite_nec(subject, "NEC 2026") == f"NEC 2026: section numbers not verified; limits of {newest}"
    assert cite_nec(subject, "NEC 2017") == f"NEC 2017: edition not known here; limits of {newest}"
    assert cite_nec(subject, "") == f"NEC, edition not stated; limits of {newest}"


def test_a_value_less_sure_than_its_section_says_so() -> None:
    assert cite_nec("class 2", "NEC 2023", "from memory").endswith("(from memory)")
