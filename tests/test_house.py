"""The house stands as it is drawn: imports run one way, and every module may use only what lies below it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "riserkit"

# Unit -> units it may import, the lowest first. A unit is a folder of the package or a module at its top.
MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "code_digest": set(),
    "version": set(),
    "kept": {"code_digest"},
    "quantities": {"errors"},
    "standards": {"errors"},
    "model": {"errors", "quantities"},
    "circuits": {"errors"},
    "network": {"errors", "quantities", "standards", "model"},
    "wiring": {"errors", "quantities", "standards", "model", "circuits", "network"},
    "diagnosis": set(),
    "troubleshooting": {"errors", "quantities", "model", "circuits", "diagnosis", "wiring"},
    "proofs": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring"},
    "design": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs"},
    "as_built": {"errors", "quantities", "model", "circuits", "network", "wiring", "troubleshooting", "proofs", "design"},
    "importing": {"errors", "quantities", "model"},
    "findings": {"quantities", "model"},
    "acceptances": {"quantities", "model", "findings"},
    "holds": {"standards", "proofs", "design", "findings"},
    "checked": {"quantities", "design", "findings", "holds"},
    "rules": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "as_built",
        "findings", "acceptances"},
    "drawings": {"errors", "code_digest", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs",
        "design", "as_built", "findings", "acceptances", "holds", "checked"},
    "record": {"errors", "quantities", "model", "circuits", "wiring", "design", "as_built", "findings"},
    "plugin": {"errors", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs",
        "design", "as_built", "findings", "acceptances", "rules", "importing", "record"},
    "pipeline": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "as_built",
        "findings", "acceptances", "rules", "plugin", "importing", "record", "drawings", "holds", "checked"},
    "reports": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "as_built",
        "findings", "acceptances", "rules", "drawings", "plugin", "pipeline", "importing", "record", "troubleshooting", "holds", "checked"},
    "field": {"errors", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "as_built",
        "findings",
        "drawings", "record", "reports", "holds", "checked"},
    "bench": {"errors", "circuits", "wiring", "proofs", "troubleshooting", "drawings"},
    "page": {"errors", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "findings",
        "acceptances", "rules", "drawings", "pipeline", "reports", "bench", "holds", "checked"},
    "results": {"errors", "version", "kept", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs",
        "design", "as_built", "findings", "acceptances", "rules", "drawings", "plugin", "pipeline", "reports", "field", "page", "importing",
        "record", "bench", "holds", "checked"},
    "reference": {"errors", "kept", "quantities", "standards", "model", "network", "wiring", "proofs", "design", "findings", "drawings",
        "plugin", "pipeline", "troubleshooting", "reports", "page", "results", "holds", "checked"},
    "starter": {"results"},
    "commands": {"errors", "version", "quantities", "standards", "model", "circuits", "network", "wiring", "proofs", "design", "as_built",
        "findings", "acceptances", "rules", "drawings", "plugin", "pipeline", "reports", "field", "page", "results", "reference", "starter",
        "importing", "record", "troubleshooting", "holds", "checked"},
    "__main__": {"commands"},
}  # fmt: skip


def _modules() -> Iterator[tuple[str, Path]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        if parts != ("__init__",):
            yield parts[0], path


def _imports(path: Path) -> Iterator[str]:
    """What it imports of the package, for types alone too."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
            if node.module == "riserkit":
                names = [f"riserkit.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        yield from (name.partition(".")[2] for name in names if name.startswith("riserkit."))


def test_the_picture_holds_every_module() -> None:
    assert {unit for unit, _ in _modules()} == set(MAY_IMPORT)


@pytest.mark.parametrize(("unit", "path"), list(_modules()), ids=lambda x: x if isinstance(x, str) else x.stem)
def test_imports_run_downward(unit: str, path: Path) -> None:
    used = {name.partition(".")[0] for name in _imports(path)} - {unit}
    assert used <= MAY_IMPORT[unit], f"{path.relative_to(ROOT)} may not import {sorted(used - MAY_IMPORT[unit])}"


# Rooms inside a unit, the lowest first: each may use those before it.
ROOMS = {
    "drawings": ["dxf", "processes", "setting", "revisions", "elevation", "wiring", "riser", "door", "plan", "schedules",
        "typical", "cover", "prints", "legibility", "edits", "set"],
    "wiring": ["reason", "roles", "closets", "lengths", "places", "devices", "assumed", "unstated", "need", "issued", "arrangement",
        "contacts", "values", "needs", "cables", "over_limit", "parts", "arrangements", "choose", "landed", "standby_current", "readings",
        "as_built", "data_power", "port_page"],
}  # fmt: skip


@pytest.mark.parametrize("unit", ROOMS)
def test_rooms_stand_on_those_below(unit: str) -> None:
    folder, rooms = PACKAGE / unit, ROOMS[unit]
    assert {path.stem for path in folder.iterdir() if path.name[0] not in "_."} == set(rooms)
    for path in folder.rglob("*.py"):
        room = path.relative_to(folder).with_suffix("").parts[0]
        text = path.read_text("utf-8")
        used = set(re.findall(rf"(?:from|import) riserkit\.{unit}\.(\w+)", text))
        for listed in re.findall(rf"from riserkit\.{unit} import ([\w, ]+)", text):
            used |= {name.split()[0] for name in listed.split(",") if name.split()}
        for other in used - {room}:
            assert rooms.index(other) < rooms.index(room), f"{path.relative_to(ROOT)} may not import {other}"


def test_no_file_imports_in_a_circle() -> None:
    files = {path.relative_to(PACKAGE).with_suffix("").as_posix().replace("/", "."): path for _, path in _modules()}
    graph = nx.DiGraph((name, used) for name, path in files.items() for used in _imports(path) if used in files)
    circles = [sorted(found) for found in nx.strongly_connected_components(graph) if len(found) > 1]
    # a site gives a changed one, which is assembled and checked like one that was read
    assert circles == [["model.assemble", "model.changes", "model.site", "model.stated"]]


def test_no_module_imports_in_a_circle() -> None:
    for unit, allowed in MAY_IMPORT.items():
        assert allowed <= set(list(MAY_IMPORT)[: list(MAY_IMPORT).index(unit)]), f"{unit} looks upward"


def test_only_one_room_touches_the_drawing_library() -> None:
    touching = {
        p.relative_to(PACKAGE).as_posix()
        for _, p in _modules()
        if re.search(r"^\s*(from|import) ezdxf", p.read_text("utf-8"), re.M)
    }
    outside = {name for name in touching if not name.startswith(("drawings/dxf/", *TOUCHES_DXF))}
    assert not outside


# Reading drawings back, merging them and printing them work on the library's own documents and geometry.
TOUCHES_DXF = ("drawings/legibility/", "drawings/edits/", "drawings/prints/")


def test_the_commands_start_without_heavy_libraries() -> None:
    """`riserkit --help` answers at once: nothing that takes long to load is loaded before a command needs it."""
    heavy = "{'ezdxf', 'numpy', 'shapely', 'networkx', 'pydantic', 'reportlab', 'PIL'}"
    code = f"import riserkit.commands.main, sys; print(sorted({heavy} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.strip() == "[]"


def test_the_list_of_rules_needs_no_heavy_library() -> None:
    """Rules run on the whole engine; listing them must not load it."""
    heavy = "{'ezdxf', 'numpy', 'shapely', 'networkx', 'pydantic', 'reportlab', 'PIL'}"
    code = "import sys; from riserkit.commands.main import main; main(['rules'], standalone_mode=False)\n"
    code = f"import atexit, sys; atexit.register(lambda: print(sorted({heavy} & set(sys.modules))))\n{code}"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert "channel-length" in found.stdout
    assert "text-over-text" in found.stdout
    assert found.stdout.splitlines()[-1] == "[]"


def test_files_stay_small_enough_to_hold_one_topic() -> None:
    long = [p.relative_to(ROOT).as_posix() for _, p in _modules() if len(p.read_text("utf-8").splitlines()) > 400]
    assert not long


def test_no_class_name_means_two_things() -> None:
    """Whoever searches for a class finds one."""
    places: dict[str, list[str]] = {}
    for path in (*PACKAGE.rglob("*.py"), *(ROOT / "plugins").rglob("*.py")):
        for name in re.findall(r"^ *class (\w+)[(:\[]", path.read_text("utf-8"), re.M):
            places.setdefault(name, []).append(path.relative_to(ROOT).as_posix())
    assert len(places) > 100
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
