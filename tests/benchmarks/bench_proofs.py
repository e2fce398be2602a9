"""Prove one topology, and a campus of many doors: seconds and cases.

    python tests/benchmarks/bench_proofs.py --doors 10000

One topology is to take at most 2 s on one core; a campus of 10,000 doors and 40 topologies at most 60 s.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any, Final

from riserkit.design import Design, design
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.proofs.values import DoorProof

LOCKS = (
    {"lock": "strike-12-secure", "egress": "mechanical"},
    {"lock": "strike-12-safe", "egress": "stair"},
    {"lock": "strike-24-secure", "egress": "mechanical"},
    {"lock": "magnet-12-300", "egress": "sensor-release"},
    {"lock": "magnet-24-600", "egress": "sensor-release"},
    {"lock": "exit-device-motor", "egress": "mechanical"},
)
VARIANTS: tuple[dict[str, Any], ...] = (
    {},
    {"rex": "rex-motion"},
    {"rex": "rex-motion", "contact": "contact-reed"},
    {"rex": "rex-motion", "contact": "contact-reed", "fire_alarm_release": True},
    {"rex": "rex-motion", "contact": "contact-reed", "lock_wiring_secured": True},
    {"rex": "rex-motion", "contact": "contact-reed", "reader_out": "reader-out"},
    {"rex": "rex-motion", "contact": "contact-reed", "controller_at": "secured"},
    {"rex": "rex-button", "contact": "contact-reed"},
)
LARGEST: Final = (
    {"mark": "largest", "level": "L1", "x_m": 10, "y_m": 5, "type": "double", "lock": "magnet-12-300", "lock_count": 2,
     "egress": "sensor-release", "rex": "rex-motion", "contact": "contact-reed", "release": "release-30",
     "fire_alarm_release": True, "reader_out": "reader-out", "arrangement": "relay-external-supply",
     "controller": "controller-c4"},
)  # fmt: skip
"""Two leaves, every device, every release: nine outside states and the most conductors."""
TOPOLOGIES: Final = 40
CAMPUS_S: Final = 60.0
ONE_S: Final = 2.0


def campus(doors: int) -> Design:
    """Doors of every lock and every variant in turn, each with a place and cables of its own."""
    return design(assemble_site(RawSite(None, _rows(_openings(doors), doors))))


def largest() -> Design:
    """The one door with the most cases."""
    return design(assemble_site(RawSite(None, _rows(LARGEST, 1))))


def _openings(doors: int) -> Sequence[Mapping[str, Any]]:
    kinds = [{**lock, **variant} for lock, variant in product(LOCKS, VARIANTS)]
    return [
        {"mark": str(k), "level": "L1", "x_m": k % 97, "y_m": k % 89, "width_m": 0.8 + k % 7 / 10,
         "controller": "controller-c4", **kinds[k % len(kinds)]}
        for k in range(1, doors + 1)
    ]  # fmt: skip


def _rows(openings: Sequence[Mapping[str, Any]], doors: int) -> Mapping[str, list[RawRecord]]:
    switches = [
        {"id": f"S{k}", "closet": "C1", "ports": 1024, "poe_class": 4, "poe_budget_w": 20000, "on_ups": True}
        for k in range(doors // 1000 + 1)
    ]
    tables: dict[str, Sequence[Mapping[str, Any]]] = {
        "levels": [{"id": "L1", "elevation_m": 0}],
        "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}],
        "switches": switches,
        "openings": openings,
    }
    return {t: [RawRecord(dict(r), Where(t, k)) for k, r in enumerate(made, start=2)] for t, made in tables.items()}


def main() -> int:
    """Print what was proven and how long it took; 1 when a bound is passed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--doors", type=int, default=10_000, help="doors of the campus (default %(default)s)")
    args = parser.parse_args()
    made = campus(args.doors)
    longest, cases, acts, topologies, proven = (0.0, ""), 0, 0, set[int](), 0
    start = time.perf_counter()
    for door in made.doors:
        before = time.perf_counter()
        proof = door.proof
        spent = time.perf_counter() - before
        if isinstance(proof, DoorProof):
            proven += 1
            if id(proof.topology) not in topologies:
                topologies.add(id(proof.topology))
                cases, acts = cases + proof.topology.cases, acts + proof.topology.tamper_cases
                # The first proof asked for also sorts the doors by topology.
                longest = max(longest, (spent, _named(door.mark, made))) if len(topologies) > 1 else longest
    total_s = time.perf_counter() - start
    print(f"{proven} of {args.doors} doors proven, {len(topologies)} topologies: {cases} cases and {acts} acts solved")
    print(
        f"all of it: {total_s:.2f} s, at most {CAMPUS_S:g}; the longest topology: {longest[0]:.2f} s, at most {ONE_S:g}"
    )
    print(f"the longest is of {longest[1]}")
    largest_s = _print_largest()
    kept = total_s <= CAMPUS_S and max(longest[0], largest_s) <= ONE_S and len(topologies) >= TOPOLOGIES
    return 0 if kept else 1


def _print_largest() -> float:
    """Seconds of one core for the door with the most cases."""
    door = largest().doors[0]
    start = time.process_time()
    proof = door.proof
    spent_s = time.process_time() - start
    if isinstance(proof, DoorProof):
        t = proof.topology
        print(
            f"the largest: {t.states} states x {t.faults} faults, {t.cases} cases and {t.tamper_cases} acts: {spent_s:.2f} s"
        )
    return spent_s


def _named(mark: str, made: Design) -> str:
    opening = made.door[mark].opening
    return f"{opening.lock}, {opening.rex or 'no REX'}, wired as {_arrangement(made, mark)}"


def _arrangement(made: Design, mark: str) -> str:
    drawn = made.door[mark].wiring.drawn
    return drawn.arrangement if drawn else "nothing"


if __name__ == "__main__":
    sys.exit(main())
