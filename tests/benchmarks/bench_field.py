"""Processor time of papers for the crew, of an issue and of a comparison against that of a build, at several sizes; children are counted.

python tests/benchmarks/bench_field.py 50 200
"""

from __future__ import annotations

import datetime
import os
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))


def used_s() -> float:
    found = os.times()
    return found.user + found.system + found.children_user + found.children_system


def main(counts: list[int]) -> None:
    from riserkit.field.about import FieldWork
    from riserkit.pipeline import Checked, work_out
    from riserkit.reports.test_sheet import door_tests
    from riserkit.results.build import BuildOptions, build_site, site_tables
    from riserkit.results.field import write_field
    from riserkit.results.issue import NewIssue, compare_site, issue_site
    from tests.benchmarks.campus import campus, write_campus

    for count in counts:
        site = campus(count)
        with tempfile.TemporaryDirectory() as place:
            start = used_s()
            build_site(site, Path(place) / "out", BuildOptions(prints=("overview",)))
            built = used_s() - start
            write_campus(count, Path(place) / "site")
            new = NewIssue("A", datetime.date(2026, 3, 9), "for construction", "A. Drafter")
            start = used_s()
            issue_site(Path(place) / "site", Path(place) / "issued", new, BuildOptions(prints=("overview",)))
            issued = used_s() - start
            start = used_s()
            compare_site(Path(place) / "site")
            compared = used_s() - start
        checked = work_out(site)
        tests = door_tests(checked.design)
        work = FieldWork(checked.design, checked.findings, tests)
        tables = site_tables(Checked(checked.design, checked.findings), None, tests)
        with tempfile.TemporaryDirectory() as place:
            start = used_s()
            write_field(work, Path(place), tables)
            papers = used_s() - start
            size_mb = sum(path.stat().st_size for path in Path(place).rglob("*.*")) / 1e6
        print(
            f"{count} openings: build {built:.1f} s, papers {papers:.1f} s ({papers / built:.2f}), {size_mb:.1f} MB, "
            f"issue {issued:.1f} s ({issued / built:.2f}), compare {compared:.1f} s ({compared / built:.2f})",
            flush=True,
        )


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [50])
