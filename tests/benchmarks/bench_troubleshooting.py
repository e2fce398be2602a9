"""How many readings it takes to find a fault, and whether the true one is ever ruled out.

Every modelled single fault of every arrangement and variant (poor joints of 2, 20, 200 and 2,000 ohm) is put into a door whose
parts are within their tolerance, a caller says what is wrong and answers what can be seen without a meter, and the advice is
followed; the meter errs within its class. To reach: no true fault ruled out, a median of at most 3 readings, 95 % at most 5;
beside it a random order of readings, in the same run. Faults that nobody would notice are followed for some readings too, but
not counted.

    python tests/benchmarks/bench_troubleshooting.py [--share 0.1] [--variant NAME] [--seed 1] [--steps]
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from riserkit.troubleshooting.diagnose import Conclusion, all_suspects
from riserkit.troubleshooting.predict import Predictions
from tests.troubleshooting.simulated import AT, Search, as_it_is, complaint_of, follow, random_reading, truths
from tests.wiring.conftest import Doors
from tests.wiring.miswired_doors import variant_circuits


def main() -> None:
    """Follow the advice for a share of all faults of each variant."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--variant", default="")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--steps", action="store_true", help="tell what was read and seen where more than 5 readings were taken"
    )
    asked = parser.parse_args()
    advised: list[Search] = []
    at_random: list[Search] = []
    quiet = excluded = 0
    started = time.process_time()
    for name, circuit in variant_circuits(Doors()):
        if asked.variant and asked.variant != name:
            continue
        kept = Predictions(circuit, AT, all_suspects(circuit))
        every = truths(circuit)
        some = random.Random(f"{asked.seed} {name}").sample(every, max(1, round(asked.share * len(every))))
        before = len(advised)
        for truth in some:
            # a stream for each fault, so that other advice meets the same doors and meters
            chance = random.Random(f"{asked.seed} {name} {truth.words}")
            door = as_it_is(truth.netlist, chance)
            complaint = complaint_of(circuit, door, truth.dead)
            search = follow(circuit, kept, truth, door, chance, complaint, most=15 if complaint else 3)
            if search.excluded:
                excluded += 1
                print(f"  ruled out: {name}: {truth.words}: {search.last.verdict}")
            if not complaint:
                quiet += 1
                continue
            advised.append(search)
            if asked.steps and search.readings > 5:
                print(f"  {name}: {truth.words}: {complaint[0].words}, {len(search.last.candidates)} left")
                print("\n".join(f"    {step}" for step in search.steps))
            chance = random.Random(f"{asked.seed} {name} {truth.words} at random")
            choose = random_reading(circuit, chance)
            at_random.append(
                follow(circuit, kept, truth, door, chance, complaint, choose=choose, enough=len(search.last.candidates))
            )
        here = [s.readings for s in advised[before:]]
        print(f"{name}: {len(some)} of {len(every)} faults, {_percentiles(here)}", flush=True)
    print(f"advised:  {_percentiles([s.readings for s in advised])}")
    print(f"looked at before, without a meter: {_percentiles([s.looks for s in advised], 'things')}")
    print(f"at random, until as few are left: {_percentiles([s.readings for s in at_random])}")
    over = sum(s.readings > 5 for s in advised)
    print(f"more than 5 readings: {over} of {len(advised)}")
    groups = Counter(len({c.alike for c in s.last.candidates}) for s in advised if s.last.verdict is Conclusion.SINGLE)
    print(f"groups of electrically equal faults left: {dict(sorted(groups.items()))}")
    sure = [s.share for s in advised]
    print(f"the true fault and what is electrically equal to it, at the end: first in {sum(s.first for s in advised)} of "
          f"{len(advised)}, with 95 % in {sum(x >= 0.95 for x in sure)}, with half in {sum(x >= 0.5 for x in sure)}")  # fmt: skip
    print(f"verdicts: {dict(Counter(s.last.verdict.name for s in advised))}")
    print(f"{len(advised)} faults with a complaint, {quiet} without; {excluded} true faults ruled out; "
          f"{time.process_time() - started:.0f} s of processor time")  # fmt: skip


def _percentiles(counts: list[int], of: str = "readings") -> str:
    ordered = sorted(counts)
    if not ordered:
        return "none"
    return f"median {ordered[len(ordered) // 2]}, 95 % {ordered[int(0.95 * len(ordered))]}, most {ordered[-1]} {of}"


if __name__ == "__main__":
    main()
