"""Spoilt sites without end: `python -m tests.hostile --minutes 10`; prints cases, distinct failures, time and memory."""

from __future__ import annotations

import argparse
import resource
import time

from tests.hostile.mutate import mutated
from tests.hostile.run import run


def main() -> None:
    """Run for the minutes asked for, from a seed on."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--minutes", type=float, default=1.0)
    asked.add_argument("--seed", type=int, default=0)
    given = asked.parse_args()
    end, seed, read = time.monotonic() + given.minutes * 60, given.seed, 0
    failures: dict[str, list[tuple[int, int]]] = {}
    slowest: list[tuple[float, int]] = []
    while time.monotonic() < end:
        outcome = run(mutated(seed))
        read += outcome.was_read
        slowest = sorted([*slowest, (outcome.seconds, seed)], reverse=True)[:3]
        if outcome.failure:
            # The fewest changes that still fail alike are the case to keep.
            fewest = next(n for n in (1, 2, 3) if n == 3 or run(mutated(seed, n)).failure == outcome.failure)
            failures.setdefault(outcome.failure, []).append((fewest, seed))
        seed += 1
    mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{seed - given.seed} cases from seed {given.seed}, {read} of them read, designed and checked; {mib:.0f} MiB at most"
    )
    print("slowest: " + ", ".join(f"seed {n} {seconds:.2f} s" for seconds, n in slowest))
    for failure, where in sorted(failures.items()):
        steps, first = min(where)
        print(f"{failure}: {len(where)} times, such as seed {first} with {steps} changes")
    print(f"{len(failures)} distinct failures")


if __name__ == "__main__":
    main()
