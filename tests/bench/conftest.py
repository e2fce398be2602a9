"""Tables that all tests of the bench read, solved once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from riserkit.bench.table import BenchTable, bench_table
from tests.wiring.conftest import Doors
from tests.wiring.miswired_doors import VARIANTS


@cache
def _table(variant: str) -> BenchTable:
    doors = Doors()
    name, differs = VARIANTS[variant]
    return bench_table(doors.circuit(name, {**doors.served[name], **differs}))


@pytest.fixture(scope="session")
def tables() -> Callable[[str], BenchTable]:
    """The table of a door of each variant, by name."""
    return _table
