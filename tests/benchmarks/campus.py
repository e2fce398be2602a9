"""Campuses of any number of openings: invented, repeatable, and as varied as a real door list."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

OPENINGS_PER_LEVEL = 60
LEVELS_PER_BUILDING = 5
BASE = {"controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion", "egress": "mechanical"}
MAGNET = {**BASE, "egress": "sensor-release", "release": "release-30", "release_sign": "yes", "fail_mode": "fail-safe"}
KINDS: tuple[dict[str, str], ...] = (
    {**BASE, "lock": "strike-12-secure"},
    {**BASE, "lock": "strike-12-secure", "lock_wiring_secured": "yes"},
    {**BASE, "lock": "strike-24-secure"},
    {**BASE, "lock": "strike-12-safe", "fail_mode": "fail-safe"},
    {**MAGNET, "lock": "magnet-12-600"},
    {**MAGNET, "lock": "magnet-12-300", "controller": "controller-c3", "lock_wiring_secured": "yes"},
    {**MAGNET, "lock": "magnet-24-600", "fire_alarm_release": "yes"},
    {**BASE, "lock": "exit-device-motor", "type": "double"},
    {**BASE, "lock": "strike-12-heavy", "lock_count": "2", "type": "double"},
    {"lock": "strike-12-secure", "controller": "controller-c3", "egress": "mechanical"},
    {**BASE, "lock": "latch-24"},
    {**BASE, "lock": "strike-12-secure", "reader_out": "reader-out"},
)


def campus(openings: int) -> Site:
    """A campus of that many openings: buildings of five levels, a closet and trays on each level, a riser in each."""
    return assemble_site(RawSite(None, {name: tuple(rows) for name, rows in _tables(openings).items()}))


def write_campus(openings: int, folder: Path) -> None:
    """The same as a folder of tables."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    from tests.plugins.writers import write_tables

    write_tables(campus(openings), folder)


def _record(number: int, **values: Any) -> RawRecord:
    return RawRecord(values, Where("campus", number + 2))


def _tables(openings: int) -> dict[str, list[RawRecord]]:
    tables: dict[str, list[RawRecord]] = {
        name: []
        for name in ("buildings", "levels", "closets", "switches", "pathway_nodes", "pathway_segments", "openings")
    }
    for name, values in _rows(openings):
        tables[name].append(_record(len(tables[name]), **values))
    return tables


def _rows(openings: int) -> Iterator[tuple[str, dict[str, Any]]]:
    levels = -(-openings // OPENINGS_PER_LEVEL)
    for place in range(levels):
        building, floor = divmod(place, LEVELS_PER_BUILDING)
        level = f"B{building}-L{floor}"
        if floor == 0:
            yield "buildings", {"id": f"B{building}", "code": f"B{building}"}
        yield "levels", {"id": level, "building": f"B{building}", "elevation_m": floor * 4.0, "floor": floor + 1}
        yield from _level(building, floor, level)
    for number in range(openings):
        building, floor = divmod(number // OPENINGS_PER_LEVEL, LEVELS_PER_BUILDING)
        yield "openings", _opening(number, f"B{building}-L{floor}")


def _level(building: int, floor: int, level: str) -> Iterator[tuple[str, dict[str, Any]]]:
    main = f"C-B{building}-L0"
    closet = f"C-{level}"
    yield "closets", {"id": closet, "level": level, "x_m": 2, "y_m": 2, "fed_from": "" if floor == 0 else main}
    for half in range(2):
        yield "switches", {
            "id": f"{closet}-{half + 1}", "closet": closet, "ports": 48, "uplink_ports": 2, "poe_class": 4,
            "poe_budget_w": 740, "on_ups": "yes" if floor % 3 else "no",
        }  # fmt: skip
    for place in range(7):
        yield "pathway_nodes", {"id": f"N-{level}-{place}", "level": level, "x_m": 3 + 9 * place, "y_m": 3}
        if place:
            yield "pathway_segments", {
                "id": f"S-{level}-{place}", "from_node": f"N-{level}-{place - 1}", "to_node": f"N-{level}-{place}",
            }  # fmt: skip
    if floor:
        below = f"B{building}-L{floor - 1}"
        yield "pathway_segments", {
            "id": f"R-{level}", "from_node": f"N-{below}-0", "to_node": f"N-{level}-0", "kind": "riser",
            "space": "riser",
        }  # fmt: skip


def _opening(number: int, level: str) -> dict[str, Any]:
    on_level = number % OPENINGS_PER_LEVEL
    return {
        "mark": f"{level}-{on_level + 1:02d}", "level": level, "x_m": 3 + 0.9 * on_level,
        "y_m": 1.5 if on_level % 2 else 4.5, **KINDS[number % len(KINDS)],
    }  # fmt: skip
