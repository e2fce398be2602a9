"""Rate of drawing against plain ezdxf writing the same entities into the same number of files.

    python tests/benchmarks/bench_drawings.py 100 1000

Ours is all from a checked design to files: planning, placing, measuring, drawing, marking, writing. Plain ezdxf is
given every entity's type and attributes beforehand and only makes and writes them, without extended data. One
process draws, so that rates compare; `--doors` adds that many door details. Last, the time with all cores.
"""

from __future__ import annotations

import argparse
import gc
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
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


def plain(recipes: Sequence[tuple[list[Recipe], list[Recipe], Path]], folder: Path) -> float:
    """Seconds that plain ezdxf takes; the blocks and layers of a sheet are loaded beforehand."""
    taken = 0.0
    for n, (model, paper, template) in enumerate(recipes):
        doc: Any = readfile(template)
        gc.collect()
        start = time.perf_counter()
        space, layout = doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])
        for make in model:
            make(space)
        for make in paper:
            make(layout)
        doc.saveas(folder / f"plain-{n}.dxf")
        taken += time.perf_counter() - start
    return taken


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


def measure(openings: int, doors: int) -> None:
    """Print one line for a campus of so many openings."""
    sys.path.insert(0, str(HERE))
    from campus import write_campus

    from riserkit.design import design
    from riserkit.drawings.drawing_set.plan import SetOptions
    from riserkit.drawings.drawing_set.write import write_set
    from riserkit.reading import read_site
    from riserkit.rules.evaluate import check

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_campus(openings, folder / "site")
        made = design(read_site(folder / "site"))
        findings = check(made)
        marks = tuple(door.mark for door in made.doors[:doors])
        spent = {}
        for workers in (1, None):
            out = folder / f"out-{workers}"
            out.mkdir()
            start = time.perf_counter()
            result = write_set(made, findings, out, SetOptions(doors=marks, workers=workers))
            spent[workers] = time.perf_counter() - start
        recipes = [
            (*recipes_of(sheet.path)[:2], emptied(sheet.path, folder / f"empty-{n}.dxf"))
            for n, sheet in enumerate(result.sheets)
        ]
        count = sum(len(model) + len(paper) for model, paper, _ in recipes)
        plain_s = plain(recipes, folder)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(
            f"{openings:>7} openings {len(result.sheets):>5} sheets {count:>8} entities  ours {spent[1]:7.2f} s  "
            f"plain {plain_s:7.2f} s  rate {plain_s / spent[1]:.2f} of plain  all cores {spent[None]:.2f} s  peak {peak:.0f} MiB"
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
