"""Miswire doors of every arrangement one wire at a time, and count what their test sheets show.

    python tests/benchmarks/bench_miswirings.py
    python tests/benchmarks/bench_miswirings.py --only splitter --only "dry trigger"

A miswiring is functional when it changes what the door does in some state (`riserkit/wiring/readings/shown.py` says how that is
judged); it is shown when a reading stays outside its printed band at every worst case, or a function check fails. To reach:
98 % of the functional ones. All that are not shown are listed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "wiring"))

from conftest import AT, Doors
from miswired_doors import judge_miswirings, variant_circuits

from riserkit.circuits.miswirings import MiswiringKind
from riserkit.wiring.readings.wired import in_words

TO_REACH = 0.98


def main() -> int:
    """Print counts by variant and by kind; returns 1 when too few are shown."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", action="append", default=[], help="a variant by name; may be given more than once")
    only = parser.parse_args().only
    tried: Counter[MiswiringKind] = Counter()
    functional: Counter[MiswiringKind] = Counter()
    shown: Counter[MiswiringKind] = Counter()
    print(f"{'door':44} {'tried':>6} {'functional':>10} {'shown':>6} {'s':>6}")
    for name, circuit in variant_circuits(Doors()):
        if only and name not in only:
            continue
        start = time.process_time()
        judged = judge_miswirings(circuit, AT)
        working = [one for one in judged if one.changes]
        hidden = [one for one in working if not one.shown_by]
        tried.update(one.miswiring.kind for one in judged)
        functional.update(one.miswiring.kind for one in working)
        shown.update(one.miswiring.kind for one in working if one.shown_by)
        took_s = time.process_time() - start
        print(f"{name:44} {len(judged):6} {len(working):10} {len(working) - len(hidden):6} {took_s:6.1f}", flush=True)
        for one in hidden:
            print(f"    not shown: {in_words(circuit.netlist, one.miswiring)}; changes {', '.join(one.changes)}")
    for kind in MiswiringKind:
        if tried[kind]:
            print(f"{kind:44} {tried[kind]:6} {functional[kind]:10} {shown[kind]:6}")
    total, seen = functional.total(), shown.total()
    print(f"{'all':44} {tried.total():6} {total:10} {seen:6}   {seen / total:.2%}, to reach {TO_REACH:.0%}")
    return 0 if seen >= TO_REACH * total else 1


if __name__ == "__main__":
    sys.exit(main())
