"""The record of what was worked out, in a folder of results, and whether it is believed.

A proof in it decides whether people get out, so a record counts only where this user's own riserkit wrote it: a file named by the
record's digest is in the user's state folder, where nobody else may write. A record that came with a folder from
elsewhere, was changed, or is of another user is not read, and everything is worked out anew. Whoever can write in the user's
own account could as well change riserkit itself; against that no record guards.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from riserkit.kept import KeptWork

KEPT: Final = "kept.json"
MOST_BYTES: Final = 64 * 2**20
"""A record larger than this is not read, and of more than this not all is written; it holds what some thousand doors take."""
_FRAME_BYTES: Final = 8
_MOST_WITNESSES: Final = 256


def read_kept(folders: Path | Sequence[Path], made_with: str) -> KeptWork:
    """The record of an earlier build for this one to use; an empty one where there is none or it is not believed.

    Args:
        folders: the earlier results, which need not be there; of several the records together.
        made_with: what it was worked out with besides riserkit's code, such as plugins.
    """
    of_each = [folders] if isinstance(folders, Path) else folders
    return KeptWork({key: entry for folder in of_each for key, entry in _believed(folder / KEPT).items()}, made_with)


def _believed(path: Path) -> dict[str, Any]:
    with contextlib.suppress(OSError, ValueError, RuntimeError):
        if stat.S_ISREG(path.lstat().st_mode) and path.stat().st_size <= MOST_BYTES:
            content = path.read_bytes()
            witness = _witness(sha256(content).hexdigest())
            if witness.is_file() and _only_mine(witness.parent):
                told = json.loads(content)
                return told if isinstance(told, dict) else {}
    return {}


def write_kept(folder: Path, kept: KeptWork) -> None:
    """Write what this build worked out into its results, and bear witness to it in the user's state folder."""
    digest = sha256()
    with (folder / KEPT).open("wb") as stream:
        for piece in _pieces(kept):
            stream.write(piece)
            digest.update(piece)
    # without a place for it the next build works everything out, which is slow and no harm
    with contextlib.suppress(OSError, RuntimeError):
        witness = _witness(digest.hexdigest())
        witness.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        witness.touch()
        _forget_oldest(witness.parent)


def _pieces(kept: KeptWork) -> Iterator[bytes]:
    """The record entry by entry: whole, it would stand in memory several times over."""
    yield b"{\n"
    room, between = MOST_BYTES - _FRAME_BYTES, ""
    for key, entry in kept.entries.items():
        line = f"{json.dumps(key)}: {json.dumps(entry)}"
        room -= len(line) + _FRAME_BYTES
        if room >= 0:
            yield f"{between}{line}".encode()
            between = ",\n"
    yield b"\n}\n"


def _witness(digest: str) -> Path:
    return _state_folder() / digest


def _state_folder() -> Path:
    """The user's own, after the XDG base directory specification; of Windows its local application data."""
    windows = os.environ.get("LOCALAPPDATA") if sys.platform == "win32" else None
    stated = windows or os.environ.get("XDG_STATE_HOME") or ""
    base = Path(stated) if Path(stated).is_absolute() else Path.home() / ".local" / "state"
    return base / "riserkit" / "kept"


def _only_mine(folder: Path) -> bool:
    """Whether only this user writes in a folder; its modes say so where the system has them."""
    if not hasattr(os, "geteuid"):
        return True
    seen = folder.lstat()
    return (
        stat.S_ISDIR(seen.st_mode) and seen.st_uid == os.geteuid() and not seen.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    )


def _forget_oldest(folder: Path) -> None:
    found = sorted(folder.iterdir(), key=lambda path: path.stat().st_mtime_ns, reverse=True)
    for path in found[_MOST_WITNESSES:]:
        path.unlink(missing_ok=True)
