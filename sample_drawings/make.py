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
    "seed-archive": ("T-001", "T-101", "T-601", "T-501-102", "T-501-105", "T-502-218"),
}
DPI = 110
# Drawings that are kept of a sample; the rest is built by the README's command. One of each kind, and a detail of each
# arrangement.
KEPT: dict[str, tuple[str, ...]] = {
    "seed-archive": (
        "T-001", "T-101", "T-501-101", "T-501-102", "T-501-104", "T-501-105", "T-501-110", "T-501-202", "T-501-208", "T-501-218", "T-511",
        "T-502-218", "T-601", "T-651",
    ),
}  # fmt: skip


def make(name: str) -> None:
    """Build one sample into its folder."""
    sample = HERE / name
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out"
        built = build_site(sample / "site", out, BuildOptions(prints=("overview",)))
        for result in ("drawings", "schedules"):
            shutil.rmtree(sample / result, ignore_errors=True)
            shutil.copytree(out / result, sample / result, ignore=lambda _, names: _left_out(name, names))
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


def _left_out(name: str, files: list[str]) -> list[str]:
    """Files of a sample that are not kept: prints, and sheets that nobody chose."""
    kept = KEPT.get(name)
    sheets = [file for file in files if file.endswith(".dxf") and kept is not None and Path(file).stem not in kept]
    return [*sheets, *(file for file in files if file.endswith(".pdf"))]


if __name__ == "__main__":
    for sample_name in PICTURES:
        make(sample_name)
