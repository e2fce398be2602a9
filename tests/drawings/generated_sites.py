"""Fifty invented sites to hold drawings to: small and large, tidy and crowded, with names as long as people make them.

A site is made by its number alone, so that the same number is the same site everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from random import Random
from typing import Any, NamedTuple

from riserkit.design import Design
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

SITES = 50
Record = Mapping[str, Any]
LONG_MARK = "NORTH-WING-{:03d}-LOADING-1"  # 24 characters
MARKS = ("{:03d}", "D-{:03d}", "L{:03d}.A", "Ä{:03d}", LONG_MARK)
ROOMS = ("", "Store", "Reading room", "Plant room of the north ventilation and smoke exhaust, second stage")
LEVELS = ("Level {}", "L{}", "Étage {}", "Mezzanine over the north reading room {}")
CLOSETS = ("", "Main closet", "Telecommunications enclosure over the loading dock, door 7")
DEVICES: tuple[Record, ...] = (
    {"lock": "strike-12-secure", "controller": "controller-c4", "fail_mode": "fail-secure", "egress": "mechanical"},
    {"lock": "strike-12-secure", "controller": "controller-c3", "fail_mode": "fail-secure", "egress": "mechanical"},
    {"lock": "magnet-12-600", "controller": "controller-c4", "fail_mode": "fail-safe", "egress": "sensor-release",
     "release": "release-30", "fire_alarm_release": True, "release_height_m": 1.1},
    {"lock": "magnet-24-600", "controller": "controller-c4", "fail_mode": "fail-safe", "egress": "sensor-release",
     "release": "release-30"},
    {"lock": "strike-24-secure", "controller": "controller-c3", "fail_mode": "fail-secure", "egress": "mechanical",
     "arrangement": "relay-external-supply"},
    {"lock": "latch-24", "controller": "controller-c4", "fail_mode": "fail-secure", "egress": "mechanical"},
    {"lock": "strike-24-safe", "controller": "controller-box", "fail_mode": "fail-safe", "egress": "stair"},
    {"lock": "strike-12-heavy", "controller": "controller-box", "fail_mode": "fail-secure", "egress": "mechanical"},
    {"lock": "", "controller": "", "contact": ""},
)  # fmt: skip


class Shape(NamedTuple):
    """How large a site is, and what is hard about it."""

    openings: int
    levels: int
    closets: int
    spacing_m: float
    mark: str
    pathways: bool


def shape_of(number: int) -> Shape:
    """The shape of a site: the ends of every range first, chance after them."""
    r = Random(number)
    ends = {
        0: Shape(5, 1, 1, 6.0, MARKS[0], pathways=False),
        1: Shape(400, 30, 12, 4.0, MARKS[1], pathways=True),
        2: Shape(400, 1, 1, 0.8, LONG_MARK, pathways=False),  # one closet holds everything, doors under a metre apart
        3: Shape(240, 30, 1, 3.0, MARKS[2], pathways=True),
        4: Shape(60, 1, 12, 0.9, MARKS[3], pathways=True),
        5: Shape(5, 30, 12, 9.0, LONG_MARK, pathways=False),
    }
    if number in ends:
        return ends[number]
    openings = r.choice([5, 9, 17, 30, 48, 75, 120, 200, 310])
    levels, closets = r.choice([1, 2, 3, 5, 9, 16, 30]), r.choice([1, 1, 2, 3, 5, 8, 12])
    return Shape(openings, levels, closets, r.choice([0.7, 0.9, 2.0, 4.0, 8.0]), r.choice(MARKS), r.random() < 0.5)


def generated_site(number: int) -> Site:
    """The site of a number."""
    shape, r = shape_of(number), Random(1000 + number)
    level_names, closet_names = r.choice(LEVELS), r.choice(CLOSETS)
    info = {
        "name": f"Generated site {number} of the municipal trust for archives and collections", "owner": "Archive trust",
        "issue_date": "2026-05-04", "sheet_series": r.choice(["ISO", "ANSI", "ARCH"]),
        "unit_system": r.choice(["metric", "imperial"]),
    }  # fmt: skip
    tables: dict[str, Iterable[Record]] = {
        "levels": [
            {"id": f"L{n}", "name": level_names.format(n), "elevation_m": 4.0 * n} for n in range(shape.levels)
        ],
        "closets": [
            {"id": f"C{n}", "level": f"L{n * shape.levels // shape.closets}", "x_m": 4.0 + 9.0 * n, "y_m": 9.0,
             "name": closet_names, **({"fed_from": "C0"} if n else {})}
            for n in range(shape.closets)
        ],
        "switches": _switches(shape),
        "supplies": [{"id": "PS0", "part": "supply-24-4", "closet": "C0", "on_battery": True}],
        "openings": [_opening(shape, n, r) for n in range(shape.openings)],
        "revisions": [{"index": "A", "date": "2026-05-04", "description": "First issue", "name": "RA"}],
    }  # fmt: skip
    if shape.pathways:
        tables.update(_pathways(shape))
    raw = {name: [RawRecord(row, Where(name, n)) for n, row in enumerate(rows, 1)] for name, rows in tables.items()}
    return assemble_site(RawSite(RawRecord(info, Where("info", 1)), raw))


def unlike_doors(design: Design, most: int) -> tuple[str, ...]:
    """Marks of openings whose wiring, lock, kind or side differ, the first of each, so many at most."""
    seen: dict[tuple[object, ...], str] = {}
    for door in design.doors:
        opening, chosen = door.opening, door.wiring.chosen or door.wiring.nearest
        wired = (chosen.arrangement, chosen.lock_cable) if chosen else ("", "")
        seen.setdefault((*wired, opening.lock, opening.controller, opening.type), door.mark)
    return tuple(sorted(seen.values()))[:most]


def _switches(shape: Shape) -> list[Record]:
    count = -(-shape.openings // 44)
    return [
        {"id": f"SW{n}", "closet": f"C{n % shape.closets}", "ports": 48, "uplink_ports": 2, "poe_budget_w": 740,
         "on_ups": True}
        for n in range(max(count, shape.closets))
    ]  # fmt: skip


def _opening(shape: Shape, number: int, r: Random) -> Record:
    row, place = divmod(number // shape.levels, 40)
    return {
        "mark": shape.mark.format(number), "name": r.choice(ROOMS), "level": f"L{number % shape.levels}",
        "x_m": 2.0 + place * shape.spacing_m, "y_m": 3.0 + 5.0 * row, "type": r.choice(["single", "single", "double", "gate"]),
        "hinges": r.choice(["left", "right"]), "contact": "contact-reed", "rex": "rex-motion",
        "free_egress_hardware": True, "secured_side": "Store", "unsecured_side": "Corridor", **r.choice(DEVICES),
    }  # fmt: skip


def _pathways(shape: Shape) -> dict[str, list[Record]]:
    nodes = [
        {"id": f"N{level}-{k}", "level": f"L{level}", "x_m": 2.0 + 12.0 * k, "y_m": 7.0}
        for level in range(shape.levels)
        for k in range(6)
    ]
    trays = [
        {"id": f"TR-{level}{k:02d}", "from_node": f"N{level}-{k}", "to_node": f"N{level}-{k + 1}"}
        for level in range(shape.levels)
        for k in range(5)
    ]
    shafts = [
        {"id": f"RS-{n}", "from_node": f"N{n}-1", "to_node": f"N{n + 1}-1", "kind": "riser"}
        for n in range(shape.levels - 1)
    ]
    return {"pathway_nodes": nodes, "pathway_segments": [*trays, *shafts]}
