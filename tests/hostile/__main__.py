"""Spoilt sites without end: `python -m tests.hostile --minutes 10` or `--cases 100000`; `--of document`, `model` or `return`.

Prints how many cases there were and how far they came, distinct failures with the smallest case of each (written to
`--keep`), problems that name a file and no place in it, and which cases took longest and most memory.
"""

from __future__ import annotations

import argparse
import random
import resource
import time
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Final

from tests import proven
from tests.hostile.bases import Files
from tests.hostile.corpus import keep, smallest
from tests.hostile.models import spoilt_model
from tests.hostile.mutate import mutated
from tests.hostile.received import document, returned
from tests.hostile.run import Depth, Outcome, run, run_import, run_return

_TOLD_EACH = 1000
_SHOWN = 5
_CHECKED_EACH, _DRAWN_EACH = 20, 2000
"""One case in so many goes on to design, check and lists, and to drawing, which take a hundred and a thousand times as long."""


_TAKEN: Final[Mapping[str, Callable[[int], Outcome]]] = {
    "document": lambda seed: run_import(*document(seed)),
    "model": lambda seed: run_import("model.ifc", spoilt_model(random.Random(seed))),
    "return": lambda seed: run_return(*returned(seed)),
}
"""What is spoilt besides sites, by the word of `--of`."""


@dataclass
class Tally:
    """What came of the cases so far."""

    cases: int = 0
    read: int = 0
    checked: int = 0
    drawn: int = 0
    failures: dict[str, list[int]] = field(default_factory=dict)
    unplaced: Counter[str] = field(default_factory=Counter)
    slowest: list[tuple[float, int]] = field(default_factory=list)
    largest: list[tuple[float, int]] = field(default_factory=list)

    def add(self, seed: int, outcome: Outcome) -> bool:
        """Count one; True when it is the first of its failure."""
        self.cases += 1
        self.read += outcome.was_read
        self.checked += outcome.reached != "read"
        self.drawn += outcome.reached == "draw"
        self.unplaced.update(outcome.unplaced)
        if outcome.reached != "draw":
            self.slowest = sorted([*self.slowest, (outcome.seconds, seed)], reverse=True)[:_SHOWN]
        self.largest = sorted([*self.largest, (outcome.grown_mib, seed)], reverse=True)[:_SHOWN]
        if outcome.failure:
            self.failures.setdefault(outcome.failure, []).append(seed)
            return len(self.failures[outcome.failure]) == 1
        return False

    def lines(self) -> list[str]:
        """All of it, for people."""
        mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        times = sum(map(len, self.failures.values()))
        return [
            f"{self.cases} cases, {self.read} of them read, {self.checked} designed, checked and listed, {self.drawn} drawn; "
            f"{times} failures of {len(self.failures)} kinds; {mib:.0f} MiB at most",
            *(f"  {failure}: {len(seeds)} times, seed {seeds[0]}" for failure, seeds in sorted(self.failures.items())),
            f"problems that name a file and no place in it: {sum(self.unplaced.values())}",
            *(f"  {count} times: {words}" for words, count in self.unplaced.most_common()),
            "slowest: " + ", ".join(f"seed {seed} {seconds:.2f} s" for seconds, seed in self.slowest),
            "grew most: " + ", ".join(f"seed {seed} {mib:.0f} MiB" for mib, seed in self.largest if mib),
        ]


def main() -> None:
    """Run for the minutes or the cases asked for, from a seed on."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=1.0)
    asked.add_argument("--cases", type=int, default=0, help="how many, whatever time that takes")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--check-each", type=int, default=_CHECKED_EACH, help="one case in so many goes beyond reading")
    asked.add_argument("--keep", type=Path, help="folder for the smallest case of each failure")
    asked.add_argument("--of", default="site", choices=["site", *_TAKEN], help="what is spoilt")
    given = asked.parse_args()
    proven.prove_once()
    end, tally, seed = time.monotonic() + given.minutes * 60, Tally(), given.seed
    while tally.cases < given.cases if given.cases else time.monotonic() < end:
        depth: Depth = "draw" if not seed % _DRAWN_EACH else "check" if not seed % given.check_each else "read"
        files: Files = {}
        if given.of == "site":
            files = mutated(seed)
            outcome = run(files, depth)
        else:
            outcome = _TAKEN[given.of](seed)
        if tally.add(seed, outcome):
            print(f"seed {seed}: {outcome.failure}", flush=True)
            if given.keep and files:
                least = smallest(files, partial(_fails, outcome.failure, depth))
                keep(outcome.failure, least, given.keep)
        seed += 1
        if not tally.cases % _TOLD_EACH:
            print("\n".join(tally.lines()), flush=True)
        if not tally.cases % 5000:
            proven.forget()
    print("\n".join(tally.lines()))


def _fails(failure: str, depth: Depth, files: Files) -> bool:
    return run(files, depth).failure == failure


if __name__ == "__main__":
    main()
