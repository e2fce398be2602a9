"""Digests of code: what was worked out by other code is not taken for what this code would work out."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path


def code_digest(places: Iterable[Path]) -> bytes:
    """A digest of modules: every `*.py` of a folder, or one file, by names and bytes. A version's number stays while code changes."""
    found = sha256()
    for place in places:
        modules = sorted(place.rglob("*.py")) if place.is_dir() else [place]
        for path in modules:
            name = path.relative_to(place).as_posix() if path != place else path.name
            found.update(name.encode() + b"\0" + sha256(path.read_bytes()).digest())
    return found.digest()
