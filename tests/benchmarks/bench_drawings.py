"""Rate of drawing riser and door details against plain ezdxf writing the same entities into the same number of files.

    python tests/benchmarks/bench_drawings.py 100 1000 --doors 1000

Ours is all from a checked design to files: searching layouts of wiring, placing, measuring, drawing, marking, writing.
Plain ezdxf is given every entity's type and attributes beforehand and only makes and writes them, without extended
data. Rates compare the processor time of one process each; the time with all cores is by the clock. Nothing is known
beforehand: layouts found for an earlier line are forgotten.
"""

from __future__ import annotations

import argparse
import gc
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.filemanagement import readfile

HERE = Path(__file__).resolve().parent
Recipe = Callable[[Any], None]


def recipe(entity: Any) -> Recipe:
    """How plain ezdxf makes an entity like this one."""
    kind = entity.dxftype()
    attribs = {k: v for k, v in entity.dxfattribs().items() if k not in ("handle", "owner", "paperspace")}
    if kind == "LWPOLYLINE":
        points, closed = list(entity.get_points("xy")), entity.closed
        return lambda space: space.add_lwpolyline(points, close=closed, dxfattribs=attribs)
    if kind == "MTEXT":
        text = entity.text
        return lambda space: space.add_mtext(text, dxfattribs=attribs)
    if kind == "INSERT":
        values = {a.dxf.tag: a.dxf.text for a in entity.attribs}
        name, at = attribs.pop("name"), attribs.pop("insert")
        return lambda space: space.add_blockref(name, at, dxfattribs=attribs).add_auto_attribs(values)
    if kind in ("LINE", "CIRCLE", "ARC", "TEXT"):
        return lambda space: space.new_entity(kind, attribs)
    if kind == "HATCH":
        paths = [list(p.vertices) for p in entity.paths]
        return lambda space: [space.add_hatch().paths.add_polyline_path(p) for p in paths][-1]
    return lambda space: None


def recipes_of(path: Path) -> tuple[list[Recipe], list[Recipe], Any]:
    """Recipes of model and paper, and the document that has the blocks and tables."""
    doc: Any = readfile(path)
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    return [recipe(e) for e in doc.modelspace()], [recipe(e) for e in paper if e.dxftype() != "VIEWPORT"], doc


def plain(path: Path, folder: Path) -> tuple[float, int]:
    """Seconds that plain ezdxf takes for one sheet, its blocks and layers loaded beforehand, and how many entities."""
    model, paper, _ = recipes_of(path)
    doc: Any = readfile(emptied(path, folder / "empty.dxf"))
    gc.collect()
    start = time.process_time()
    space, layout = doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])
    for make in model:
        make(space)
    for make in paper:
        make(layout)
    doc.saveas(folder / "plain.dxf")
    return time.process_time() - start, len(model) + len(paper)


def emptied(path: Path, to: Path) -> Path:
    """A sheet with its blocks, layers and styles, and nothing drawn."""
    doc: Any = readfile(path)
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    for space in (doc.modelspace(), paper):
        for entity in list(space):
            if entity.dxftype() != "VIEWPORT":
                entity.destroy()
        space.purge()
    doc.saveas(to)
    return to


def _write(made: Any, findings: Any, out: Path, asked: Any, clock: Callable[[], float]) -> tuple[float, Any]:
    """Seconds by a clock that writing a set takes, with nothing known beforehand, and what was written."""
    from riserkit.checked import Checked
    from riserkit.drawings.set.write import write_set
    from riserkit.drawings.wiring.solve import solved

    out.mkdir()
    solved.cache_clear()
    start = clock()
    result = write_set(Checked(made, findings), out, asked)
    return clock() - start, result


def measure(openings: int, doors: int) -> None:
    """Print one line for a campus of so many openings."""
    sys.path.insert(0, str(HERE))
    from campus import write_campus

    from riserkit.design import design
    from riserkit.drawings.set.plan import SetOptions
    from riserkit.plugin.read import read_site
    from riserkit.rules._shared.evaluate import check

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_campus(openings, folder / "site")
        made = design(read_site(folder / "site"))
        findings = check(made)
        marks = tuple(door.mark for door in made.doors[:doors])
        asked = SetOptions(doors=marks, details="each", cover=False, plans=False)
        shared_s, _ = _write(made, findings, folder / "shared", asked, time.perf_counter)
        ours_s, result = _write(made, findings, folder / "alone", replace(asked, workers=1), time.process_time)
        # before the library's turn, which reads every sheet
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        taken = [plain(sheet.path, folder) for sheet in result.sheets]
        plain_s, count = sum(s for s, _ in taken), sum(n for _, n in taken)
        print(
            f"{openings:>7} openings {len(result.sheets):>5} sheets {count:>8} entities  ours {ours_s:7.2f} s  "
            f"plain {plain_s:7.2f} s  rate {plain_s / ours_s:.2f} of plain  all cores {shared_s:.2f} s  peak {peak:.0f} MiB"
        )


def main() -> None:
    """Measure each size asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=[100, 1000])
    parser.add_argument("--doors", type=int, default=0)
    asked = parser.parse_args()
    print(f"ezdxf {ezdxf.__version__}")
    print("first line: warming up, fonts and blocks are read")
    for size in (20, *asked.sizes):
        measure(size, asked.doors)


if __name__ == "__main__":
    main()
