"""Invented sites for the riser's tests: a small campus of an archive, and generated ones of any size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from random import Random
from typing import Any

from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

Record = Mapping[str, Any]


def site_of(info: Record, **tables: Iterable[Record]) -> Site:
    raw = {name: [RawRecord(row, Where(name, n)) for n, row in enumerate(rows, 1)] for name, rows in tables.items()}
    return assemble_site(RawSite(RawRecord(info, Where("info", 1)), raw))


ARCHIVE_INFO = {
    "name": "Harbour Archive",
    "project_number": "HA-12",
    "owner": "Harbour Archive Trust",
    "designer": "R. Aalto",
    "drawn_by": "R. Aalto",
    "checked_by": "M. Osei",
    "approved_by": "M. Osei",
    "issue_date": "2026-05-04",
    "building_code": "IBC 2021",
}


def archive() -> Site:
    """Three levels, three closets one above the other and one apart, 27 openings of every kind."""
    doors: list[dict[str, Any]] = []

    def door(mark: str, level: str, x: float, y: float, **more: Any) -> None:
        base = {
            "mark": mark, "level": level, "x_m": x, "y_m": y, "lock": "strike-12-secure",
            "controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion", "fail_mode": "fail-secure",
            "egress": "mechanical", "free_egress_hardware": True,
        }  # fmt: skip
        doors.append({**base, **more})

    for n in range(1, 9):
        door(f"1{n:02d}", "L1", 6.0 * n, 4.0)
    door("GATE-1", "L1", 60.0, -20.0, type="gate", outdoor=True, width_m=3.0, lock="magnet-12-300",
         fail_mode="fail-safe", controller="controller-box", egress="none")  # fmt: skip
    door("100", "L1", 2.0, 0.0, type="double", width_m=1.83, lock_count=2)
    for n in range(1, 10):
        door(f"2{n:02d}", "L2", 5.0 * n, 8.0)
    for n in range(1, 5):
        door(f"3{n:02d}", "L3", 9.0 * n, 6.0, lock="magnet-24-600", fail_mode="fail-safe", egress="sensor-release",
             release="release-30", controller_at="secured")  # fmt: skip
    door("S-3.1", "L3", 90.0, 40.0, egress="stair", fail_mode="fail-safe", lock="strike-24-safe", supply="PS-2A")
    door("401", "ROOF", 12.0, 6.0)
    door("B01", "B", 3.0, 3.0, lock="latch-24", supply="PS-1A")
    door("VAULT", "B", 20.0, 9.0, lock="strike-12-heavy", controller="controller-box")
    return site_of(
        ARCHIVE_INFO,
        levels=[
            {"id": "B", "name": "Basement", "elevation_m": -3.4},
            {"id": "L1", "name": "Level 1", "elevation_m": 0.0},
            {"id": "L2", "name": "Level 2", "elevation_m": 4.2},
            {"id": "L3", "name": "Level 3", "elevation_m": 8.4},
            {"id": "ROOF", "name": "Roof", "elevation_m": 12.6},
        ],
        closets=[
            {"id": "TR-1", "level": "L1", "name": "Main closet", "x_m": 10.0, "y_m": 2.0},
            {"id": "TR-2", "level": "L2", "name": "Closet 2", "x_m": 11.0, "y_m": 2.0, "fed_from": "TR-1"},
            {"id": "TR-3", "level": "L3", "name": "Closet 3", "x_m": 11.0, "y_m": 3.0, "fed_from": "TR-1"},
            {"id": "TR-1E", "level": "L1", "name": "East store", "x_m": 70.0, "y_m": 3.0, "fed_from": "TR-1"},
        ],
        switches=[
            {"id": "SW-1", "closet": "TR-1", "ports": 24, "uplink_ports": 2, "poe_budget_w": 370, "on_ups": True},
            {"id": "SW-2", "closet": "TR-2", "ports": 16, "uplink_ports": 2, "poe_budget_w": 60, "on_ups": True},
            {"id": "SW-3", "closet": "TR-3", "ports": 12, "poe_class": 6, "poe_budget_w": 240, "on_ups": False},
            {"id": "SW-1E", "closet": "TR-1E", "ports": 8, "poe_budget_w": 120},
        ],
        supplies=[
            {"id": "PS-1A", "part": "supply-24-4", "closet": "TR-1", "on_battery": True},
            {"id": "PS-2A", "part": "supply-24-4", "closet": "TR-2", "on_battery": True},
        ],
        openings=doors,
        runs=[
            {"id": "R1", "from_end": "TR-1", "to_end": "101", "length_m": 31.5, "basis": "measured"},
            {"id": "R2", "from_end": "TR-1", "to_end": "102", "length_m": 96.0, "basis": "stated"},
        ],
        acceptances=[
            {"rule": "switch-power-budget", "subject": "SW-2", "reason": "A second supply unit is on order",
             "name": "M. Osei", "date": "2026-04-30", "severity": "error", "value": "75 W"},
        ],
        revisions=[{"index": "A", "date": "2026-05-04", "description": "First issue", "name": "RA"}],
    )  # fmt: skip


def campus() -> Site:
    """Three buildings, the second with a basement; its closet also serves a door of the first, and the last has none."""
    levels = {
        "N0": ("N", 0.0),
        "N1": ("N", 4.0),
        "S-": ("S", -3.5),
        "S0": ("S", 0.2),
        "S1": ("S", 4.2),
        "G0": ("G", 0.1),
    }
    served = [("N0", 6, "C1"), ("N1", 5, "C2"), ("S-", 3, "C3"), ("S0", 6, "C3"), ("S1", 4, "C4"), ("G0", 2, "C3"),
              ("N1", 1, "C3"), ("S1", 1, "C1")]  # fmt: skip
    doors = [(level, closet) for level, count, closet in served for _ in range(count)]
    return site_of(
        {"name": "Three buildings", "issue_date": "2026-05-04", "owner": "Three trust"},
        buildings=[{"id": b, "name": name} for b, name in (("N", "North house"), ("S", "South house"), ("G", "Gate"))],
        levels=[
            {"id": level, "name": f"Floor {level}", "building": building, "elevation_m": height}
            for level, (building, height) in levels.items()
        ],
        closets=[
            {"id": "C1", "level": "N0", "x_m": 4.0, "y_m": 4.0},
            {"id": "C2", "level": "N1", "x_m": 4.0, "y_m": 4.0, "fed_from": "C1"},
            {"id": "C3", "level": "S0", "x_m": 60.0, "y_m": 4.0, "fed_from": "C1"},
            {"id": "C4", "level": "S1", "x_m": 60.0, "y_m": 4.0, "fed_from": "C3"},
        ],
        switches=[
            {"id": f"SW{n}", "closet": f"C{n}", "ports": 24, "poe_budget_w": 370, "on_ups": True} for n in range(1, 5)
        ],
        openings=[
            {"mark": f"{n:03d}", "level": level, "closet": closet, "x_m": 60.0 * (level[0] != "N") + n, "y_m": 2.0,
             "lock": "strike-12-secure", "controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion",
             "fail_mode": "fail-secure", "egress": "mechanical", "free_egress_hardware": True}
            for n, (level, closet) in enumerate(doors, 1)
        ],
    )  # fmt: skip


def generated(
    levels: int, closets: int, openings: int, *, mark: str = "{level}{n:02d}", pathways: bool = False
) -> Site:
    """A tower: closets spread over the levels, openings over both; the first closet feeds all others."""
    on = [min(n * levels // max(closets, 1), levels - 1) if closets <= levels else n % levels for n in range(closets)]
    rooms = [
        {"id": f"C{n + 1}", "level": f"L{level + 1}", "x_m": 8.0 + 40.0 * on[:n].count(level), "y_m": 5.0,
         **({"fed_from": "C1"} if n else {})}
        for n, level in enumerate(on)
    ]  # fmt: skip
    ports = 48
    per_closet = -(-openings // closets)
    switches = [
        {"id": f"SW{n + 1}-{k + 1}", "closet": f"C{n + 1}", "ports": ports, "poe_budget_w": 740, "on_ups": True}
        for n in range(closets)
        for k in range(-(-per_closet // ports))
    ]
    # each opening by its number: as many closets as there are, in blocks, each on its closet's level or the one above
    doors = []
    for n in range(openings):
        closet = n // per_closet
        level = min(on[closet] + (n % 3 == 2), levels - 1)
        doors.append(
            {"mark": mark.format(level=level + 1, n=n + 1), "level": f"L{level + 1}", "x_m": 2.0 + n % 40, "y_m": 1.0 + n % 7,
             "closet": f"C{closet + 1}", "lock": "strike-12-secure", "controller": "controller-c4",
             "contact": "contact-reed", "rex": "rex-motion", "fail_mode": "fail-secure", "egress": "mechanical",
             "free_egress_hardware": True}
        )  # fmt: skip
    tables: dict[str, list[Record]] = {}
    if pathways:
        tables["pathway_nodes"] = [
            {"id": f"N{level}-{k}", "level": f"L{level + 1}", "x_m": 5.0 * k, "y_m": 4.0}
            for level in range(levels)
            for k in range(10)
        ]
        trays = [
            {"id": f"TR-{level + 1}{k:02d}", "from_node": f"N{level}-{k}", "to_node": f"N{level}-{k + 1}"}
            for level in range(levels)
            for k in range(9)
        ]
        shafts = [
            {"id": f"RS-{n + 1}", "from_node": f"N{n}-2", "to_node": f"N{n + 1}-2", "kind": "riser"}
            for n in range(levels - 1)
        ]
        tables["pathway_segments"] = trays + shafts
    return site_of(
        {"name": f"Tower of {openings} openings", "issue_date": "2026-05-04", "owner": "Tower trust"},
        levels=[{"id": f"L{n + 1}", "name": f"Level {n + 1}", "elevation_m": 4.0 * n} for n in range(levels)],
        closets=rooms,
        switches=switches,
        openings=doors,
        **tables,
    )


def scattered(seed: int) -> Site:
    """A site without any order: closets and openings anywhere, odd names, parts missing, one to three buildings."""
    r = Random(seed)
    levels, closets, openings = r.randint(1, 30), r.randint(1, 12), r.randint(5, 400)
    buildings = r.choice([1, 1, 1, 2, 3])
    names = ("Level {}", "Mezzanine over the north reading room {}", "L{}", "Étage {}")
    mark = r.choice(["{}", "D-{:03d}", "{} WEST WING LOADING", "Ä.{}"])
    locks = ("strike-12-secure", "magnet-12-300", "latch-24", "strike-24-safe", "")
    doors: list[dict[str, Any]] = [
        {"mark": mark.format(n), "level": f"L{r.randrange(levels)}", "x_m": r.uniform(0, 150), "y_m": r.uniform(0, 60),
         "type": r.choice(["single", "single", "double", "gate"]), "lock": r.choice(locks),
         "controller": r.choice(["controller-c4", "controller-c3", "controller-box", ""]),
         "closet": f"C{r.randrange(closets)}" if r.random() < 0.3 else ""}
        for n in range(openings)
    ]  # fmt: skip
    return site_of(
        {"name": f"Site {seed}", "sheet_series": r.choice(["ISO", "ANSI", "ARCH"]),
         "unit_system": r.choice(["metric", "imperial"])},
        buildings=[{"id": f"B{n}", "name": f"Building {n}"} for n in range(buildings)],
        levels=[
            {"id": f"L{n}", "name": r.choice(names).format(n), "elevation_m": round(3.7 * n - 7 + r.random(), 2),
             "building": f"B{n % buildings}"}
            for n in range(levels)
        ],
        closets=[
            {"id": f"C{n}", "level": f"L{r.randrange(levels)}", "x_m": r.uniform(0, 150), "y_m": r.uniform(0, 60),
             "name": r.choice(["", "Closet", "Telecommunications enclosure over the loading dock number 7"]),
             "fed_from": f"C{r.randrange(n)}" if n and r.random() < 0.9 else ""}
            for n in range(closets)
        ],
        switches=[
            {"id": f"SW{n}", "closet": f"C{r.randrange(closets)}", "ports": r.choice([8, 24, 48]),
             "on_ups": r.choice([True, False, None]), "poe_budget_w": r.choice([None, 60, 370, 740])}
            for n in range(max(1, openings // 30))
        ],
        supplies=[
            {"id": f"PS{n}", "part": r.choice(["supply-12-3", "supply-24-4"]), "closet": f"C{r.randrange(closets)}"}
            for n in range(r.randint(0, 6))
        ],
        openings=doors,
        issued_labels=[
            {"kind": "cable", "subject": doors[0]["mark"], "label": "A LABEL OF THE OWNER'S OWN MAKING / " * 3},
            {"kind": "switch", "subject": "SW0", "label": "SWITCH LABEL MADE BY OWNER 0001"},
        ],
    )  # fmt: skip
