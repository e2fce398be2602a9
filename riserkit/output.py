"""A folder of results that appears whole or not at all, and never takes anything of the user's with it.

Files are written beside the target and renamed into place at the end. The folder carries a list of its files with their
digests; a later build replaces only a folder whose files are exactly those it wrote.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from riserkit.errors import RiserkitError

CONTENTS: Final = "contents.json"


class OutputError(RiserkitError):
    """The results cannot be put where they were asked for."""


@contextlib.contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """A new folder to write into; it becomes `target` when the block ends, and vanishes when it raises.

    Args:
        target: the folder asked for. When it is there already, it is replaced, if all in it is as riserkit wrote it.

    Raises:
        OutputError: it cannot be written, or holds something that would be lost.
    """
    target = target.resolve()
    refuse_to_lose(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent))
    except OSError as error:
        raise OutputError(
            f"cannot write into {target.parent}: {error.strerror}; choose another folder with -o"
        ) from error
    try:
        yield beside
        _write_contents(beside)
        # A temporary folder is private to its maker; results are as readable as any folder of the user's.
        beside.chmod(0o777 & ~_umask())
        _put_in_place(beside, target)
    except OSError as error:
        raise OutputError(f"cannot write {target}: {error.strerror or error}") from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def refuse_to_lose(target: Path) -> None:
    """Raise when `target` holds anything that riserkit did not write, or that has been changed since.

    Raises:
        OutputError: naming what is there.
    """
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputError(f"{target} is a file; expected a folder, or a name that is free")
    foreign = _foreign(target)
    if foreign:
        shown = ", ".join(foreign[:5]) + (f" and {len(foreign) - 5} more" if len(foreign) > 5 else "")
        raise OutputError(
            f"{target} holds what riserkit did not write or what was changed since: {shown}; "
            "choose another folder with -o, or move these away"
        )


def _foreign(target: Path) -> list[str]:
    try:
        files = sorted(p for p in target.rglob("*") if not p.is_dir())
        known = _known(target)
        return [
            name
            for name, path in ((p.relative_to(target).as_posix(), p) for p in files)
            if name != CONTENTS and known.get(name) != _digest(path)
        ]
    except OSError as error:
        raise OutputError(f"cannot read {target}: {error.strerror}; choose another folder with -o") from error


def _known(target: Path) -> dict[str, str]:
    try:
        listed = json.loads((target / CONTENTS).read_text("utf-8"))["files"]
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        return {}
    return {str(name): str(digest) for name, digest in listed.items()} if isinstance(listed, dict) else {}


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _write_contents(folder: Path) -> None:
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    listed = {p.relative_to(folder).as_posix(): _digest(p) for p in files}
    text = json.dumps({"written_by": "riserkit", "files": listed}, indent=1)
    (folder / CONTENTS).write_text(text + "\n", "utf-8")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _put_in_place(beside: Path, target: Path) -> None:
    if not target.exists():
        beside.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".old", dir=target.parent))
    old.rmdir()
    target.rename(old)
    try:
        beside.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
