"""Cable jackets by location."""

from __future__ import annotations

import pytest

from riserkit.standards.jackets import (
    GENERAL_TYPES,
    LIMITED_TYPES,
    PLENUM_TYPES,
    RISER_TYPES,
    jacket_allowed,
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
