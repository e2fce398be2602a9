"""Processor time of papers for the crew, of an issue and of a comparison against that of a build, at several sizes; children are counted.

python tests/benchmarks/bench_field.py 50 200
python tests/benchmarks/bench_field.py 1000 --details typical
"""

from __future__ import annotations

import argparse
import datetime
import os
import sys
import tempfile
from pathlib import Path
from typing import Literal

sys.path.insert(0, str(Path(__file__).parents[2]))


def used_s() -> float:
    found = os.times()
    return found.user + found.system + found.children_user + found.children_system


def main(counts: list[int], details: Literal["each", "typical", "both"]) -> None:
    from riserkit.checked import Checked
    from riserkit.field.about import FieldWork
    from riserkit.pipeline import work_out
    from riserkit.reports.test_sheet import door_tests
    from riserkit.results.build import BuildOptions, build_site, site_tables
    from riserkit.results.field import write_field
    from riserkit.results.issue import NewIssue, compare_site, issue_site
    from tests.benchmarks.campus import campus, write_campus

    options = BuildOptions(prints=("overview",), details=details)
    for count in counts:
        site = campus(count)
        with tempfile.TemporaryDirectory() as place:
            start = used_s()
            build_site(site, Path(place) / "out", options)
            built = used_s() - start
            print(f"{count} openings: build {built:.1f} s", end="", flush=True)
            write_campus(count, Path(place) / "site")
            new = NewIssue("A", datetime.date(2026, 3, 9), "for construction", "A. Drafter")
            start = used_s()
            issue_site(Path(place) / "site", Path(place) / "issued", new, options)
            issued = used_s() - start
            print(f", issue {issued:.1f} s ({issued / built:.2f})", end="", flush=True)
            start = used_s()
            compare_site(Path(place) / "site")
            compared = used_s() - start
            print(f", compare {compared:.1f} s ({compared / built:.2f})", end="", flush=True)
        checked = work_out(site)
        tests = door_tests(checked.design)
        work = FieldWork(checked.design, checked.findings, tests)
        tables = site_tables(Checked(checked.design, checked.findings), tests)
        with tempfile.TemporaryDirectory() as place:
            start = used_s()
            write_field(work, Path(place), tables)
            papers = used_s() - start
            size_mb = sum(path.stat().st_size for path in Path(place).rglob("*.*")) / 1e6
        print(f", papers {papers:.1f} s ({papers / built:.2f}), {size_mb:.1f} MB", flush=True)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("openings", type=int, nargs="*", default=[50])
    asked.add_argument("--details", choices=["each", "typical", "both"], default="both")
    given = asked.parse_args()
    main(given.openings, given.details)
