"""Two small sites, worked out and checked: one with passing and failing doors of several kinds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.pipeline import work_out

USUAL = {
    "level": "L1", "controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion",
    "egress": "mechanical", "fail_mode": "fail-secure", "free_egress_hardware": True, "lock": "strike-12-secure",
}  # fmt: skip
SAFE = {"fail_mode": "fail-safe", "egress": "sensor-release", "lock": "magnet-12-600", "release_sign": True}
TABLES: Mapping[str, Sequence[Mapping[str, Any]]] = {
    "levels": [{"id": "L1", "elevation_m": 0, "floor": 1}, {"id": "L2", "elevation_m": 4, "floor": 2}],
    "closets": [
        {"id": "TR-1", "level": "L1", "x_m": 0, "y_m": 0},
        {"id": "TR-2", "level": "L2", "x_m": 0, "y_m": 0, "fed_from": "TR-1"},
    ],
    "switches": [
        {"id": "SW-1", "closet": "TR-1", "ports": 12, "uplink_ports": 2, "poe_class": 4, "poe_budget_w": 200, "on_ups": True}
    ],
    "supplies": [
        {"id": "PS-1", "part": "supply-24-4", "closet": "TR-1"},
        {"id": "PS-2", "part": "supply-24-nb", "opening": "106"},
    ],
    "runs": [{"id": "B", "from_end": "TR-1", "to_end": "TR-2", "length_m": 30.0}],
    "openings": [
        {"mark": "101", "x_m": 20, "y_m": 5, **USUAL, "outdoor": True, "back_box": False},
        {"mark": "102", "x_m": 30, "y_m": 5, **USUAL, **SAFE, "controller": "controller-c3",
         "arrangement": "splitter-magnet"},
        {"mark": "103", "x_m": 40, "y_m": 5, **USUAL, "lock": "strike-24-secure"},
        {"mark": "104", "x_m": 45, "y_m": 5, **USUAL, "lock": "strike-24-secure"},
        {"mark": "105", "x_m": 50, "y_m": 5, **USUAL, "lock_count": 2, "type": "double", "lock_cable": "18-4"},
        {"mark": "106", "x_m": 55, "y_m": 5, **USUAL, "lock": "latch-24"},
        {"mark": "107", "x_m": 60, "y_m": 5, **USUAL, "lock": "strike-12-heavy", "lock_count": 2, "type": "double"},
        {"mark": "108", "x_m": 65, "y_m": 5, **USUAL, "lock": ""},
    ],
    "acceptances": [
        {"rule": "no-suitable-wiring", "subject": "107", "reason": "to be settled on site", "name": "M. Iyer",
         "date": "2026-03-01", "severity": "error", "value": "13.28 V"},
        {"rule": "channel-length", "subject": "101", "reason": "nothing to accept", "name": "M. Iyer",
         "date": "2026-03-02"},
    ],
}  # fmt: skip


def small_site(**changes: Any) -> Site:
    tables = {
        name: [RawRecord(dict(row), Where(name, place)) for place, row in enumerate(changes.get(name, rows), start=2)]
        for name, rows in TABLES.items()
    }
    info = RawRecord(changes["info"], Where("site", 1)) if "info" in changes else None
    return assemble_site(RawSite(info, tables))


@pytest.fixture(scope="session")
def checked() -> Checked:
    return work_out(small_site())


@pytest.fixture(scope="session")
def imperial() -> Checked:
    return work_out(small_site(info={"unit_system": "imperial"}))
