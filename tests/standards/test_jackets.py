"""Cable jackets by location and substitution."""

from __future__ import annotations

import pytest

from riserkit.standards.jackets import (
    GENERAL_TYPES,
    LIMITED_TYPES,
    PLENUM_TYPES,
    RISER_TYPES,
    SUBSTITUTES,
    jacket_allowed,
    may_substitute,
    substitution_source,
)
from riserkit.standards.source import NotTabulatedError


@pytest.mark.parametrize(
    ("jacket", "plenum", "riser", "general", "outdoor"),
    [
        ("CMP", True, True, True, False),
        ("CL3P", True, True, True, False),
        ("CMR", False, True, True, False),
        ("cl2r", False, True, True, False),
        ("CM", False, False, True, False),
        ("CL2", False, False, True, False),
        ("CMX", False, False, False, False),
        ("CL2X", False, False, False, False),
        ("OSP", False, False, False, True),
        ("CMX Outdoor", False, False, False, True),
        ("PLTC", False, False, True, True),
        ("CMP-LP (0.5A)", True, True, True, False),
        ("CMR-LP", False, True, True, False),
        ("CMP/OSP", True, True, True, True),
    ],
)
def test_where_a_jacket_may_run(jacket: str, plenum: bool, riser: bool, general: bool, outdoor: bool) -> None:
    allowed = [jacket_allowed(jacket, space) for space in ("plenum", "riser", "general", "outdoor")]
    assert allowed == [plenum, riser, general, outdoor]


@pytest.mark.parametrize("jacket", ["", "Cca-s1b,d1,a1", "LSZH", "CMP/what"])
def test_an_unknown_jacket_gives_no_verdict(jacket: str) -> None:
    with pytest.raises(NotTabulatedError, match="expected a listing mark"):
        jacket_allowed(jacket, "plenum")


def test_an_unknown_space_is_an_error() -> None:
    with pytest.raises(ValueError, match="attic"):
        jacket_allowed("CMP", "attic")


def test_every_type_is_in_exactly_one_rank() -> None:
    ranks = [PLENUM_TYPES, RISER_TYPES, GENERAL_TYPES, LIMITED_TYPES]
    assert sum(len(rank) for rank in ranks) == len(frozenset().union(*ranks))
    assert frozenset().union(*ranks) == frozenset(SUBSTITUTES)


def test_a_substitute_is_never_of_a_lower_rank() -> None:
    rank = {
        name: place
        for place, group in enumerate([PLENUM_TYPES, RISER_TYPES, GENERAL_TYPES, LIMITED_TYPES])
        for name in group
    }
    for required, substitutes in SUBSTITUTES.items():
        assert all(rank[name] <= rank[required] for name in substitutes)


def test_substitution_follows_the_table() -> None:
    assert may_substitute("CMP", "CL2P")
    assert may_substitute("CL2P", "CL2P")
    assert may_substitute("CL2/CMR", "CL3R")
    assert may_substitute("CL2P", "OSP/CL2")
    assert not may_substitute("CL2P", "CL3")
    assert not may_substitute("CMP", "PLTC")
    with pytest.raises(NotTabulatedError):
        may_substitute("CMP", "OSP")


def test_the_communications_family_is_from_memory() -> None:
    assert substitution_source("CL2").confidence == "verified"
    assert substitution_source("CMR").confidence == "from memory"
