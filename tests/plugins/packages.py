"""Real packages, installed where Python looks for them, as an installer would put them there."""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from pathlib import Path

from riserkit.plugin.manager import installed_plugins
from tests import child

ROOT = Path(__file__).resolve().parents[2]
HEAD = "from riserkit.plugin.hooks import hookimpl\n"


def install(folder: Path, name: str, code: str, version: str = "1.2.3") -> None:
    """Put a package of one module with its entry point into a folder of packages."""
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.py").write_text(HEAD + code, "utf-8")
    info = folder / f"{name}-{version}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n", "utf-8")
    (info / "entry_points.txt").write_text(f"[riserkit]\n{name} = {name}\n", "utf-8")


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the command with the folder's packages installed, in a process forked from this one that looks for plugins afresh."""

    def installed() -> None:
        sys.path.insert(0, str(folder))
        importlib.invalidate_caches()
        installed_plugins.cache_clear()

    return child.run(*words, before=installed)


def start(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The same in a Python of its own."""
    path = os.pathsep.join([str(folder), str(ROOT), str(ROOT / "plugins")])
    code = "import sys; from riserkit.commands.main import main; sys.argv[0] = 'riserkit'; main()"
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        capture_output=True, text=True, check=False, cwd=ROOT, env={**os.environ, "PYTHONPATH": path}, timeout=120,
    )  # fmt: skip
