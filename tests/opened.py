"""Drawings read from their files, each once as long as it stays as it is: for tests that only look."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from ezdxf.document import Drawing

from riserkit.drawings.dxf.file_tags import read_dxf

_MOST = 24
"""Drawings kept: some megabytes each."""


def opened(path: str | Path) -> Drawing:
    """The drawing of a file, shared by all who look at it; whoever changes one reads it for himself."""
    seen = Path(path).stat()
    return _read(str(path), seen.st_ino, seen.st_mtime_ns, seen.st_size)


@lru_cache(maxsize=_MOST)
def _read(path: str, _inode: int, _mtime_ns: int, _size: int) -> Drawing:
    return read_dxf(Path(path))
