"""Fixtures that all tests share."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable
from pathlib import Path

import pytest

Rows = list[dict[str, str]]


@pytest.fixture(scope="session")
def shared_dir() -> Path:
    """The folder of outside material beside the checkout.

    Where it is absent the test is skipped, so that a clone alone can be tested; with RISERKIT_REQUIRE_SHARED=1, as in
    continuous integration, its absence is a failure.
    """
    folder = Path(__file__).parents[1] / "../shared"
    if folder.is_dir():
        return folder.resolve()
    if os.environ.get("RISERKIT_REQUIRE_SHARED") == "1":
        pytest.fail("RISERKIT_REQUIRE_SHARED=1, and there is no folder ../shared beside the checkout")
    pytest.skip("no folder ../shared beside the checkout")


@pytest.fixture(scope="session")
def reference_rows(shared_dir: Path) -> Callable[[str], Rows]:
    """Read a table of published values from ../shared/reference by its file name."""

    def read(name: str) -> Rows:
        with (shared_dir / "reference" / name).open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        if not rows:
            pytest.fail(f"{name} holds no rows")
        return rows

    return read
