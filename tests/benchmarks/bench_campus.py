"""Time and memory of read, design and check for campuses of growing size, and how time grows.

    python tests/benchmarks/bench_campus.py 100 1000 10000

Each size runs in a process of its own, so that peak memory is that size's. `--draw` also writes the drawings.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent


def measure(openings: int, draw: bool) -> dict[str, float]:
    """Seconds of each stage and peak memory in MiB, in this process."""
    sys.path.insert(0, str(HERE))
    from campus import write_campus

    from riserkit.checked import Checked
    from riserkit.design import design
    from riserkit.plugin.read import read_site
    from riserkit.rules._shared.evaluate import check

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "site"
        write_campus(openings, folder)
        taken = {}
        start = time.perf_counter()
        site = read_site(folder)
        taken["read_s"] = time.perf_counter() - start
        start = time.perf_counter()
        made = design(site)
        taken["design_s"] = time.perf_counter() - start
        start = time.perf_counter()
        findings = check(made)
        taken["check_s"] = time.perf_counter() - start
        taken["peak_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        taken["findings"] = len(findings)
        if draw:
            from riserkit.drawings.set.plan import SetOptions
            from riserkit.drawings.set.write import write_set

            start = time.perf_counter()
            (Path(name) / "out").mkdir()
            write_set(Checked(made, findings), Path(name) / "out", SetOptions())
            taken["draw_s"] = time.perf_counter() - start
            taken["peak_with_drawings_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return taken


def main() -> None:
    """Run every size and print a table and the growth exponent between neighbouring sizes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("openings", nargs="*", type=int, default=[100, 1000, 10000])
    parser.add_argument("--draw", action="store_true")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(measure(asked.one, asked.draw)))
        return
    before: tuple[int, float] | None = None
    for openings in asked.openings:
        command = [sys.executable, __file__, "--one", str(openings)] + (["--draw"] if asked.draw else [])
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        taken = json.loads(done.stdout.splitlines()[-1])
        total = taken["read_s"] + taken["design_s"] + taken["check_s"]
        growth = f"  grows as N^{math.log(total / before[1]) / math.log(openings / before[0]):.2f}" if before else ""
        print(f"{openings:6d} openings  read+design+check {total:6.2f} s{growth}")
        print("       " + "  ".join(f"{name} {value:.2f}" for name, value in taken.items()))
        before = (openings, total)


if __name__ == "__main__":
    main()
