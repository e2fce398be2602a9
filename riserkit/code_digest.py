"""Digests of code: what was worked out by other code is not taken for what this code would work out."""

from __future__ import annotations

import platform
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import Final

_LIBRARIES: Final = ("ezdxf", "fonttools", "networkx", "numpy", "pydantic", "shapely")
"""What riserkit computes, measures and draws with."""


def code_digest(places: Iterable[Path], patterns: Iterable[str] = ("*.py",)) -> bytes:
    """A digest of modules: every file of a folder that fits a pattern, or one file, by names and bytes.

    A version's number stays while code changes.
    """
    found = sha256()
    for place in places:
        modules = sorted({path for p in patterns for path in place.rglob(p)}) if place.is_dir() else [place]
        for path in modules:
            name = path.relative_to(place).as_posix() if path != place else path.name
            found.update(name.encode() + b"\0" + sha256(path.read_bytes()).digest())
    return found.digest()


@cache
def own_code() -> str:
    """A digest of all of riserkit with its fonts, of Python, and of the libraries that it works with."""
    at = [platform.python_version(), platform.machine(), *(f"{name} {version(name)}" for name in _LIBRARIES)]
    own = code_digest([Path(__file__).parent], ("*.py", "*.ttf"))
    return sha256(" ".join(at).encode() + own).hexdigest()
