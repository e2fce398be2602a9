"""Fixtures that all tests share."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from riserkit.design import Design, design
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite

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


OPENING = {"mark": "101", "level": "L1", "x_m": 1, "y_m": 2, "controller": "controller-c4", "contact": "contact-reed"}


@pytest.fixture(scope="session")
def site_of() -> Callable[..., Design]:
    """A design of openings that differ from a bare one as said, beside one closet with a switch on a UPS.

    `confirmed` names conditions that somebody has confirmed at each of them.
    """

    def build(
        *openings: Mapping[str, Any],
        parts: tuple[Mapping[str, Any], ...] = (),
        confirmed: tuple[str, ...] = (),
        **info: str,
    ) -> Design:
        def records(table: str, rows: list[Mapping[str, Any]]) -> list[RawRecord]:
            return [RawRecord(dict(row), Where(table, k)) for k, row in enumerate(rows, start=2)]

        rows = [{**OPENING, "mark": str(101 + k), **o} for k, o in enumerate(openings)]
        switch = {"id": "S", "closet": "C1", "ports": 48, "poe_class": 4, "poe_budget_w": 700, "on_ups": "yes"}
        tables = {
            "levels": [{"id": "L1", "elevation_m": 0}],
            "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}],
            "switches": [switch],
            "openings": rows,
            "parts": list(parts),
            "confirmations": [
                {"opening": row["mark"], "condition": c, "name": "A. Official", "date": "2026-03-14"}
                for row in rows
                for c in confirmed
            ],
        }
        record = RawRecord(dict(info), Where("site", 1)) if info else None
        return design(assemble_site(RawSite(record, {name: records(name, given) for name, given in tables.items()})))

    return build
