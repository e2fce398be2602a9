"""Doors as in the tests of wiring."""

from __future__ import annotations

from typing import Any

import pytest

from tests.wiring.conftest import Doors


@pytest.fixture(scope="session")
def doors() -> Any:
    """What tests make doors with."""
    return Doors()
