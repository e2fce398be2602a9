"""Processor time of a site's page beside that of its drawings, as doors and topologies of the bench grow.

A topology is a circuit with its values: doors share a table only where their runs have the same copper. Both are written from
scratch, in processes of their own, the page and the drawings in turn. To reach: the page within the time of the drawings, and a
time for each topology that does not grow with their number.

    python tests/benchmarks/bench_page.py [--doors 12 24 48] [--apart] [--site FOLDER]
"""

from __future__ import annotations

import argparse
import csv
import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.campus import write_campus

_COMMAND = "import sys; from riserkit.commands.main import main; sys.argv[0] = 'riserkit'; main()"


def main() -> None:
    """Print seconds of processor time for each size, and what a topology more has taken."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--doors", type=int, nargs="+", default=[12, 24, 48], help="doors of each campus")
    parser.add_argument(
        "--apart", action="store_true", help="openings of different heights, each with a topology of its own"
    )
    parser.add_argument("--site", type=Path, help="a site in place of campuses")
    asked = parser.parse_args()
    print(f"{'doors':>6} {'topologies':>10} {'page s':>8} {'drawings s':>10} {'ratio':>6} {'s/topology more':>16}")
    before: tuple[int, float] | None = None
    for size in [0] if asked.site else asked.doors:
        with tempfile.TemporaryDirectory() as made:
            folder = Path(made)
            site = asked.site
            if site is None:
                site = folder / "site"
                write_campus(size, site)
                if asked.apart:
                    _tell_apart(site / "openings.csv")
            page_s = _spent_s("page", site, folder / "page")
            drawings_s = _spent_s("build", site, folder / "out", "--prints", "none")
            topologies = len(list((folder / "page" / "bench").glob("*.js")))
            doors = len(list((folder / "page" / "doors").glob("*.html")))
        grown = topologies - before[0] if before else 0
        more = f"{(page_s - before[1]) / grown:16.2f}" if before and grown > 0 else f"{'':>16}"
        print(
            f"{doors:6} {topologies:10} {page_s:8.1f} {drawings_s:10.1f} {page_s / drawings_s:6.2f} {more}", flush=True
        )
        before = topologies, page_s


def _tell_apart(openings: Path) -> None:
    """Make each opening a little higher than the one before, so that no two have runs of one length."""
    with openings.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for n, row in enumerate(rows):
        row["height_m"] = f"{2.05 + 0.002 * n:.3f}"
    with openings.open("w", newline="", encoding="utf-8") as file:
        table = csv.DictWriter(file, list(rows[0]))
        table.writeheader()
        table.writerows(rows)


def _spent_s(command: str, site: Path, into: Path, *more: str) -> float:
    """Processor time of a command with its children, nothing kept from before."""
    start = os.times()
    words = [sys.executable, "-c", _COMMAND, command, str(site), "-o", str(into), *more]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr)
    end = os.times()
    return end.children_user + end.children_system - start.children_user - start.children_system


if __name__ == "__main__":
    main()
