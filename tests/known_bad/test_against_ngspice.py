"""A few hundred of the cases that `against_ngspice.py` draws by the ten thousand."""

from __future__ import annotations

import os
import shutil

import pytest

from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS

from .against_ngspice import circuits, compare

_NGSPICE = shutil.which("ngspice")
if _NGSPICE is None and os.environ.get("RISERKIT_REQUIRE_NGSPICE") == "1":
    raise RuntimeError("ngspice is required here (RISERKIT_REQUIRE_NGSPICE=1) but is not installed")


@pytest.mark.skipif(_NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.slow
def test_three_hundred_cases_over_all_arrangements():
    of = list(circuits())
    assert {name for name, _ in of} == {a.name for a in SHIPPED_ARRANGEMENTS}
    tally = compare(300, 7, of)
    assert not tally.disagreements
    # The deck's shunts of 1e12 ohm move an island without a path to the reference by up to 0.7 uV, 7e-6 of the floor of 0.1 V;
    # with shunts of 1e13 ohm it is a tenth of that.
    assert tally.worst < 1e-5
    assert tally.compared + tally.unsettled == 300
    assert tally.unsettled <= 30, "a case without a steady state is an exception"
