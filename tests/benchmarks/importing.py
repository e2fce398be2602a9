"""How well architects' plans are read, style by style: `python -m tests.benchmarks.importing OFFICE` with the office's tables."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from riserkit_dxf_plan.plan import read_plan

from riserkit.importing.settings import DocumentSettings
from tests.importing.architects import STYLES, draw, score


def main(office: Path) -> None:
    """Print doors found, widths, hinges, sides and marks right, and processor seconds, for each style."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plan.dxf"
        for style in STYLES:
            for level in ("Level 1", "Level 2"):
                doors = draw(office, level, style, path)
                before = time.process_time()
                facts = read_plan(path, DocumentSettings())
                took = time.process_time() - before
                s = score(style.name, doors, facts.doors)
                print(f"{s.style:60} {level}: {s.found}/{s.doors} found, {s.false} false, {s.wide} wide, {s.hinged}/{s.single} hinged, "
                      f"{s.sided} sided, {s.marked} marked, {took:.2f} s")  # fmt: skip


if __name__ == "__main__":
    main(Path(sys.argv[1]))
