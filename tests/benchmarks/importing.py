"""How well architects' plans are read, style by style: `python -m tests.benchmarks.importing OFFICE` with the office's tables."""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import ezdxf.filemanagement
import ifcopenshell
import openpyxl
from ifcopenshell.util import placement
from riserkit_dxf_plan.plan import read_plan
from riserkit_ifc.model import read_model
from riserkit_xlsx.doors import read_list

from riserkit.importing.settings import DocumentSettings
from tests.importing.architects import STYLES, draw, score
from tests.importing.odd_styles import ODD_STYLES, OddDrafter


def ratios(folder: Path, documents: Path) -> None:
    """Print how long reading takes against the libraries' own reading, the best of several runs each."""
    model, book, plan = documents / "office.ifc", folder / "big.xlsx", folder / "big.dxf"
    _workbook(book)
    _drawing(plan)

    def placed() -> None:
        for door in ifcopenshell.open(str(model)).by_type("IfcDoor"):
            placement.get_local_placement(door.ObjectPlacement)

    for name, runs, ours, library in (
        ("office model", 5, lambda: read_model(model, DocumentSettings()), placed),
        (
            "workbook of 10,000 rows",
            1,
            lambda: read_list(book, DocumentSettings()),
            lambda: openpyxl.load_workbook(book),
        ),
        (
            "plan of 100,000 entities",
            1,
            lambda: read_plan(plan, DocumentSettings()),
            lambda: ezdxf.filemanagement.readfile(plan),
        ),
    ):
        own_s, its_s = (min(_took(work) for _ in range(runs)) for work in (ours, library))
        print(f"{name}: {own_s:.2f} s, the library alone {its_s:.2f} s, ratio {own_s / its_s:.2f}")


def _took(work: Callable[[], object]) -> float:
    before = time.process_time()
    work()
    return time.process_time() - before


def _workbook(path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(
        ["Door No.", "Width", "Height", "Hand", "Level", "Lock", "Fire Rating", "Access Control", "Remarks"]
    )
    for n in range(10_000):
        lock = "Electric strike 12 V" if n % 2 else "Maglock"
        hand = ("LH", "RHR", "RH", "LHR")[n % 4]
        book.active.append(
            [n + 1, 915, 2134, hand, f"Level {n // 500 + 1}", lock, None, "Y" if n % 3 else "N", f"Near {n}"]
        )
    book.save(path)


def _drawing(path: Path) -> None:
    doc, chance = ezdxf.new("R2010"), random.Random(3)
    model = doc.modelspace()
    for n in range(100_000):
        x, y = chance.uniform(-50_000, 50_000), chance.uniform(-50_000, 50_000)
        layer = {"layer": ("A-WALL", "A-FURN", "A-DETL", "A-FLOR", "0")[n % 5]}
        if n % 10 < 6:
            model.add_line((x, y), (x + chance.uniform(-3000, 3000), y), dxfattribs=layer)
        elif n % 10 < 8:
            model.add_lwpolyline([(x, y), (x + 500, y), (x + 500, y + 300), (x, y + 300)], close=True, dxfattribs=layer)
        elif n % 10 < 9:
            model.add_arc((x, y), chance.uniform(100, 900), 0, 90, dxfattribs=layer)
        else:
            model.add_text(f"N{n}", height=150, dxfattribs=layer).set_placement((x, y))
    doc.saveas(path)


def main(office: Path) -> None:
    """Print doors found, widths, hinges, sides and marks right, and processor seconds, for each style."""
    with tempfile.TemporaryDirectory() as folder:
        ratios(Path(folder), office.parent / "documents")
        path = Path(folder) / "plan.dxf"
        for style in (*STYLES, *ODD_STYLES):
            for level in ("Level 1", "Level 2"):
                doors = draw(office, level, style, path, drafter=OddDrafter)
                before = time.process_time()
                facts = read_plan(path, DocumentSettings())
                took = time.process_time() - before
                s = score(style.name, doors, facts.doors)
                print(f"{s.style:60} {level}: {s.found}/{s.doors} found, {s.false} false, {s.wide} wide, {s.hinged}/{s.single} hinged, "
                      f"{s.sided} sided, {s.marked} marked, {took:.2f} s")  # fmt: skip


if __name__ == "__main__":
    main(Path(sys.argv[1]))
