"""The code of plugins as a digest: circuits and findings come from it, so sheets drawn from older code are drawn anew."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from hashlib import sha256
from importlib.metadata import Distribution, EntryPoint, entry_points
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit
from urllib.request import url2pathname

from riserkit.plugin.hooks import GROUP
from riserkit.plugin.manager import Plugins

_OWN: Final = "riserkit"
_PASSED_OVER: Final = frozenset({"__pycache__", "node_modules", "site-packages"})


def code_digest(plugins: Plugins) -> str:
    """A digest of the code of every plugin that is registered: all that its distribution installed, or is beside it.

    A version's number stays while somebody works on a plugin, so files are read, those of editable installations too.
    riserkit's own are left out: what draws counts its own code.
    """
    registered = {name for name, _ in plugins.manager.list_name_plugin()}
    found = sha256()
    for point in sorted(entry_points(group=GROUP), key=lambda p: (p.dist.name if p.dist else "", p.name)):
        if point.dist is None or point.dist.name == _OWN or f"{point.dist.name}:{point.name}" not in registered:
            continue
        found.update(f"{point.dist.name} {point.dist.version} {point.name} {point.value}\0".encode())
        for path in sorted(set(_files(point, point.dist))):
            found.update(path.name.encode() + b"\0" + sha256(_content(path)).digest())
    return found.hexdigest()


def _files(point: EntryPoint, of: Distribution) -> Iterator[Path]:
    yield from (Path(str(of.locate_file(name))) for name in of.files or () if name.suffix != ".pyc")
    module = sys.modules.get(point.module.partition(".")[0])
    for folder in map(Path, getattr(module, "__path__", ())):
        yield from _python_below(folder)
    file = getattr(module, "__file__", None)
    if file:
        yield Path(file)
        root = _editable_root(of)
        folder = Path(file).parent.parent if Path(file).name == "__init__.py" else Path(file).parent
        if root is not None and folder.resolve().is_relative_to(root):
            yield from _python_below(folder)


def _python_below(folder: Path) -> Iterator[Path]:
    for path in sorted(folder.rglob("*.py")):
        inner = path.relative_to(folder).parts[:-1]
        if not any(part.startswith(".") or part in _PASSED_OVER for part in inner):
            yield path


def _editable_root(of: Distribution) -> Path | None:
    """Where the source of an editable installation is (PEP 610); None for any other."""
    try:
        stated = json.loads(of.read_text("direct_url.json") or "{}")
        editable, url = stated.get("dir_info", {}).get("editable"), urlsplit(stated.get("url", ""))
    except (ValueError, AttributeError):
        return None
    return Path(url2pathname(url.path)).resolve() if editable and url.scheme == "file" else None


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes() if path.is_file() else b""
    except OSError:
        return b""
