"""Choose the wiring of many doors, on one core: reading their needs, and judging every candidate that comes to be tried.

    python tests/benchmarks/bench_choice.py --doors 10000

The doors are of ten kinds, so that every arrangement is chosen and several candidates are rejected on the way; every door
has a PoE cable and a lock cable of its own length. To reach: 10,000 doors within 5 s. The processor time of all
threads is what counts; the wall clock stands beside it.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Mapping
from typing import Any

from riserkit.model.assemble import assemble_site
from riserkit.model.cabling import LengthBasis
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.network.values import CableRun, Route
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.needs import NeedReader

TO_REACH_S = 5.0
USUAL = {
    "level": "L1",
    "controller": "controller-c4",
    "contact": "contact-reed",
    "rex": "rex-motion",
    "egress": "mechanical",
}
MAGNET = {**USUAL, "egress": "sensor-release"}
KINDS: tuple[Mapping[str, Any], ...] = (
    {**USUAL, "lock": "strike-12-secure"},
    {**USUAL, "lock": "strike-24-secure"},
    {**MAGNET, "lock": "magnet-12-600"},
    {**MAGNET, "lock": "magnet-12-600", "controller": "controller-c3", "lock_wiring_secured": True},
    {**MAGNET, "lock": "magnet-24-600", "fire_alarm_release": True},
    {**USUAL, "lock": "exit-device-motor"},
    {**USUAL, "lock": "strike-12-heavy", "lock_count": 2, "type": "double"},
    {**USUAL, "lock": "strike-12-secure", "lock_wiring_secured": True},
    {**USUAL, "lock": "strike-12-secure", "relay": "relay-volt", "arrangement": "relay-by-voltage"},
    {"level": "L1", "controller": "controller-c3", "egress": "mechanical", "lock": "strike-12-secure"},
)


def campus(doors: int) -> Site:
    """A site of this many openings with a stated lock cable each."""
    openings = [{**KINDS[k % len(KINDS)], "mark": f"D{k}", "x_m": k % 200, "y_m": k // 200} for k in range(doors)]
    runs = [
        {"id": f"L{k}", "from_end": f"D{k}/controller", "to_end": f"D{k}/lock", "length_m": 5 + k % 37}
        for k in range(doors)
    ]
    tables = {"levels": [{"id": "L1", "elevation_m": 0}], "openings": openings, "runs": runs}
    return assemble_site(
        RawSite(None, {n: [RawRecord(row, Where(n, k)) for k, row in enumerate(rows)] for n, rows in tables.items()})
    )


def needs_of(site: Site) -> list[DoorNeed]:
    """Every opening's need, with a PoE cable of a length of its own."""
    reader = NeedReader(site)
    needs = []
    for k, opening in enumerate(site.openings):
        route = Route("C1", opening.mark, 20.0 + k % 71, LengthBasis.STATED)
        run = CableRun(opening.mark, "horizontal", "C1", opening.mark, "cat6", "", route)
        needs.append(reader.need(opening, None, run, ""))
    return needs


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--doors", type=int, default=10_000)
    doors = parser.parse_args().doors
    site = campus(doors)
    cpu, wall = time.process_time(), time.perf_counter()
    needs = needs_of(site)
    read_s = time.process_time() - cpu
    wirings = choose(needs, SHIPPED_ARRANGEMENTS, Temperatures(10.0, 40.0))
    cpu_s, wall_s = time.process_time() - cpu, time.perf_counter() - wall
    chosen = Counter(w.chosen.arrangement if w.chosen else "none feasible" for w in wirings)
    print(f"{doors} doors, {sum(len(w.considered) for w in wirings)} candidates")
    for name, count in sorted(chosen.items()):
        print(f"  {name:<26}{count:>8}")
    print(
        f"needs {read_s:.2f} s, choice {cpu_s - read_s:.2f} s, together {cpu_s:.2f} s of one core ({wall_s:.2f} s by the clock)"
    )
    print(f"to reach: {TO_REACH_S:.0f} s for 10,000 doors")


if __name__ == "__main__":
    main()
