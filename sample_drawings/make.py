"""Builds the samples anew: `drawings`, `schedules` and findings beside each site, and pictures for the README.

python sample_drawings/make.py
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from riserkit.drawings.prints.render import render_png
from riserkit.results.build import BuildOptions, build_site

HERE = Path(__file__).resolve().parent
# Sheets shown in the README, at a resolution at which they can be read on a screen.
PICTURES: dict[str, tuple[str, ...]] = {
    "first-look": ("T-601", "T-501-1"),
    "seed-archive": ("T-001", "T-101", "T-601", "T-501-102", "T-501-105", "T-521-218"),
}
DPI = 110


def make(name: str) -> None:
    """Build one sample into its folder."""
    sample = HERE / name
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out"
        built = build_site(sample / "site", out, BuildOptions())
        for result in ("drawings", "schedules"):
            shutil.rmtree(sample / result, ignore_errors=True)
            shutil.copytree(out / result, sample / result)
        for result in ("findings.csv", "findings.json"):
            shutil.copy(out / result, sample / result)
    pictures = sample / "pictures"
    shutil.rmtree(pictures, ignore_errors=True)
    pictures.mkdir()
    for sheet in PICTURES[name]:
        drawing = sample / "drawings" / f"{sheet}.dxf"
        if drawing.exists():
            render_png(drawing, pictures / f"{sheet}.png", dpi=DPI)
        else:
            print(f"{name}: there is no sheet {sheet}", file=sys.stderr)
    print(f"{name}: {built.sheets} sheets, {built.tables} tables")


if __name__ == "__main__":
    for sample_name in PICTURES:
        make(sample_name)
