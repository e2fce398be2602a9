"""The house stands as it is drawn: imports run one way, and every module may use only what lies below it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "riserkit"

# unit -> units it may import at run time. A unit is a folder of the package or a module at its top.
MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "standards": {"errors"},
    "model": {"errors"},
    "units": {"model"},
    "circuits": {"errors"},
    "network": {"errors", "model", "standards"},
    "wiring": {"units", "errors", "model", "standards", "network", "circuits"},
    "proofs": {"errors", "model", "standards", "network", "circuits", "wiring"},
    "powering": {"model", "standards", "network", "circuits", "wiring"},
    "cables": {"model", "network", "circuits", "wiring"},
    "design": {"errors", "model", "network", "wiring", "powering", "proofs", "cables"},
    "counting": set(),
    "findings": {"counting", "model", "units"},
    "accepting": {"counting", "findings", "model", "units"},
    "rules": {"accepting", "errors", "model", "standards", "network", "circuits", "wiring", "proofs", "powering", "cables", "design",
              "findings", "units", "counting"},
    "drawings": {"accepting", "errors", "model", "standards", "network", "circuits", "wiring", "proofs", "powering", "cables", "design",
                 "findings", "units", "counting"},
    "plugin": {"errors", "model", "circuits", "wiring", "design", "findings", "rules"},
}  # fmt: skip
# Everything else (reports, pipeline, commands and what they call) may use all of the above, and cli is used by nobody.
TOP = {"cli"}


def _modules() -> Iterator[tuple[str, Path]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        if parts != ("__init__",):
            yield parts[0], path


def _imports(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text("utf-8"))
    skipped = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
            if node.module == "riserkit":
                names = [f"riserkit.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "riserkit" and len(parts) > 1:
                yield parts[1]


@pytest.mark.parametrize(("unit", "path"), list(_modules()), ids=lambda x: x if isinstance(x, str) else x.stem)
def test_imports_run_downward(unit: str, path: Path) -> None:
    used = {name for name in _imports(path) if name != unit and not name.startswith("__")}
    if unit in MAY_IMPORT:
        assert used <= MAY_IMPORT[unit], f"{path.relative_to(ROOT)} may not import {sorted(used - MAY_IMPORT[unit])}"
    assert not used & TOP, f"{path.relative_to(ROOT)} imports a command module"


# Rooms of the drawings, the lowest first: each may use those before it.
ROOMS = [
    "drafting", "elevation", "wiring", "riser", "door", "plan", "schedules", "typical", "cover", "plotting", "inspection",
    "regenerate", "drawing_set",
]  # fmt: skip


def test_rooms_of_the_drawings_stand_on_those_below() -> None:
    folder = PACKAGE / "drawings"
    assert {path.stem for path in folder.iterdir() if path.name[0] not in "_."} == set(ROOMS)
    for path in folder.rglob("*.py"):
        room = path.relative_to(folder).with_suffix("").parts[0]
        used = set(re.findall(r"riserkit\.drawings\.(\w+)", path.read_text("utf-8")))
        for other in used - {room}:
            assert ROOMS.index(other) < ROOMS.index(room), f"{path.relative_to(ROOT)} may not import {other}"


def test_no_module_imports_in_a_circle() -> None:
    graph: dict[str, set[str]] = {}
    for unit, path in _modules():
        graph.setdefault(unit, set()).update(name for name in _imports(path) if name != unit)
    order: list[str] = []
    while len(order) < len(graph):
        free = [u for u in graph if u not in order and graph[u] & set(graph) <= set(order)]
        assert free, f"a circle among {sorted(set(graph) - set(order))}"
        order += free


def test_the_commands_start_without_heavy_libraries() -> None:
    """`riserkit --help` answers at once: nothing that takes long to load is loaded before a command needs it."""
    heavy = "{'ezdxf', 'numpy', 'shapely', 'networkx', 'pydantic', 'reportlab', 'PIL'}"
    code = f"import riserkit.cli, sys; print(sorted({heavy} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.strip() == "[]"


def test_files_stay_small_enough_to_hold_one_topic() -> None:
    long = [p.relative_to(ROOT).as_posix() for _, p in _modules() if len(p.read_text("utf-8").splitlines()) > 400]
    assert not long
