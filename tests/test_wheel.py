"""The wheel is complete: installed away from the checkout it reads, checks, draws and finds its own plugins and blocks."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    ignored = shutil.ignore_patterns(".*", "out", "build", "dist", "tests", "pictures", "__pycache__")
    shutil.copytree(ROOT, source, ignore=ignored)
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation", "-w", folder, source]
    subprocess.run(command, check=True, capture_output=True, text=True)
    return next(folder.glob("riserkit-*.whl"))


@pytest.mark.slow
def test_the_wheel_has_blocks_font_schema_and_plugins(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    blocks = {f"riserkit/blocks/{path.name}" for path in (ROOT / "blocks").glob("*.dxf")}
    assert len(blocks) > 20
    assert blocks <= names
    assert {"riserkit_json/site.schema.json", "riserkit_csv/__init__.py", "riserkit/py.typed"} <= names
    assert any(name.startswith("riserkit/drawings/dxf/fonts/") and name.endswith(".ttf") for name in names)
    assert any("LICENSE" in name and "fonts" in name for name in names)
    page = ROOT / "riserkit" / "page"
    shown = {
        f"riserkit/page/{path.relative_to(page)}"
        for kind in ("templates", "assets")
        for path in (page / kind).iterdir()
    }
    assert len(shown) > 10
    assert shown <= names


@pytest.mark.slow
def test_an_installed_wheel_does_the_main_job(wheel, tmp_path):
    place = tmp_path / "installed"
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", place, wheel]
    subprocess.run(command, check=True, capture_output=True, text=True)
    code = (
        "import riserkit, sys; from pathlib import Path; "
        f"assert Path(riserkit.__file__).is_relative_to({str(place)!r}); "
        "from riserkit.commands.main import main; main()"
    )
    environment = {**os.environ, "PYTHONPATH": str(place)}
    site = ROOT / "sample_drawings" / "first-look" / "site"
    done = subprocess.run(
        [sys.executable, "-c", code, "build", site, "-o", tmp_path / "out", "--details", "typical"],
        env=environment, cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "drawings" / "T-601.dxf").stat().st_size > 10_000
