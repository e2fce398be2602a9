"""Draw and inspect every sheet of the fifty generated sites: `bench_inspect.py [FIRST [LAST [DOORS]]]`.

Prints for each site its sheets and what on them is not legible, then the sum of all, and how long an inspection takes.
With DOORS, only so many door sheets of a site are drawn, each of another wiring.
"""

from __future__ import annotations

import runpy
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.set.write import write_set
from riserkit.pipeline import work_out
from riserkit.results.inspect import inspect_drawings
from riserkit.results.site_tables import sheet_tables, site_tables

MADE = runpy.run_path(str(Path(__file__).parents[1] / "drawings" / "generated_sites.py"))


def inspect_site(number: int, doors: int | None, found: Counter[str]) -> None:
    """Draw and inspect one site's whole set."""
    checked = work_out(MADE["generated_site"](number))
    chosen = True if doors is None else MADE["unlike_doors"](checked.design, doors)
    options = SetOptions(doors=chosen, tables=sheet_tables(site_tables(checked)))
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        written = write_set(checked, Path(folder), options)
        drawn = time.perf_counter()
        inspections = inspect_drawings([sheet.path for sheet in written.sheets])
        inspected_s = time.perf_counter() - drawn
    violations = [v for i in inspections for v in i.violations]
    found.update(sites=1, sheets=len(inspections), crossings=sum(i.crossings for i in inspections))
    found.update(bridged=sum(i.bridged for i in inspections), violations=len(violations))
    found.update(inspecting_ms=round(inspected_s * 1000))
    print(f"{number:2} {MADE['shape_of'](number)}: {len(inspections)} sheets, {len(violations)} violations,"
          f" drawn in {drawn - start:.1f} s, inspected in {inspected_s:.1f} s", flush=True)  # fmt: skip
    for check, several in sorted(Counter(v.check for v in violations).items()):
        print(f"     {check}: {several}")
    for v in violations[:12]:
        print(f"     {v.sheet} {v.zone} ({v.x_mm:g}, {v.y_mm:g}): {v.message}", flush=True)


def main() -> None:
    """Sites by number, all when none is given."""
    first = int(sys.argv[1]) if len(sys.argv) > 1 else 0
    last = int(sys.argv[2]) if len(sys.argv) > 2 else MADE["SITES"] - 1
    doors = int(sys.argv[3]) if len(sys.argv) > 3 else None
    found: Counter[str] = Counter()
    for number in range(first, last + 1):
        inspect_site(number, doors, found)
    print(", ".join(f"{count} {name}" for name, count in found.items()))
    print(f"{found['inspecting_ms'] / max(found['sheets'], 1):.0f} ms a sheet")


if __name__ == "__main__":
    main()
