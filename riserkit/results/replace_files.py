"""Several files of a folder changed at once: all of them or none, and all else in the folder untouched."""

from __future__ import annotations

import json
import logging
import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from riserkit.errors import RiserkitError
from riserkit.model.raw import BROKEN_OFF
from riserkit.results.folder import locked

STAGED: Final = ".new"
_READY: Final = BROKEN_OFF.partition("/")[2]
_BUSY: Final = "{} is being written into by another import; nothing was changed, wait for its end and import again"
_log = logging.getLogger("riserkit.results")


class ReplaceError(RiserkitError):
    """The files cannot be written; nothing has changed."""


def replace_files(folder: Path, files: Mapping[str, bytes], seen: Mapping[str, bytes | None]) -> None:
    """Write files of a folder, by path within it.

    They are written to the side first. Once all are there, a list of them is put beside them, from which `finish` completes
    the work if it is killed in the middle; a failure puts back what was there.

    Args:
        folder: made where it is not there yet.
        files: their new content.
        seen: their content as it was read; a file that somebody has changed since is not written over.

    Raises:
        ReplaceError: the folder cannot be written, or a file was changed meanwhile.
    """
    staged = folder / STAGED
    is_new = not folder.exists()
    try:
        staged.mkdir(parents=True, exist_ok=False)
    except FileExistsError as error:
        raise ReplaceError(_BUSY.format(folder)) from error
    except OSError as error:
        raise ReplaceError(f"{folder} cannot be written: {error.strerror}; nothing was changed") from error
    try:
        with locked(staged):
            try:
                _replace(folder, files, seen)
            finally:
                # While it is held: once it is gone, another run may have one of its own.
                shutil.rmtree(staged, ignore_errors=True)
    except BlockingIOError as error:
        raise ReplaceError(_BUSY.format(folder)) from error
    except BaseException as error:
        if is_new and not any(path.is_file() for path in folder.rglob("*")):
            shutil.rmtree(folder, ignore_errors=True)
        if isinstance(error, OSError):
            raise ReplaceError(f"{folder} cannot be written: {error.strerror or error}; nothing was changed") from error
        raise


def _replace(folder: Path, files: Mapping[str, bytes], seen: Mapping[str, bytes | None]) -> None:
    """Write all to the side, then put each in its place; a failure puts back what was there."""
    staged = folder / STAGED
    done: list[str] = []
    old: dict[str, bytes | None] = {}
    try:
        for name, content in files.items():
            _write(staged / name, content)
        for name, before in seen.items():
            if name in files and _content(folder / name) != before:
                raise ReplaceError(f"{folder / name} was changed while it was being imported into; nothing was written")
        old = {name: _content(folder / name) for name in files}
        _write(staged / _READY, json.dumps(sorted(files)).encode())
        for name in sorted(files):
            target = folder / name
            target.parent.mkdir(parents=True, exist_ok=True)
            done.append(name)
            os.replace(staged / name, target)  # noqa: PTH105 - replaces on every system
    except BaseException:
        for name in reversed(done):
            _put_back(folder / name, old[name])
        raise


def finish(folder: Path) -> None:
    """Complete or clear away what a run that was killed has left.

    Raises:
        ReplaceError: a run that is not killed is at it.
    """
    staged = folder / STAGED
    if not staged.is_dir():
        return
    try:
        with locked(staged):
            _finish(folder, staged)
    except OSError as error:
        raise ReplaceError(_BUSY.format(folder)) from error


def _finish(folder: Path, staged: Path) -> None:
    try:
        names = json.loads((staged / _READY).read_text("utf-8"))
    except (OSError, ValueError):
        names = []
    for name in names if isinstance(names, list) else []:
        if (
            isinstance(name, str)
            and (staged / name).is_file()
            and (folder / name).resolve().is_relative_to(folder.resolve())
        ):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(staged / name, folder / name)  # noqa: PTH105
            _log.warning("%s: completed; an import that was killed had not come to it", folder / name)
    shutil.rmtree(staged, ignore_errors=True)


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _content(path: Path) -> bytes | None:
    if path.exists() and not path.is_file():  # a pipe is never opened: that might wait for ever
        raise ReplaceError(f"{path} is no file, and is left as it is; move it away, and do it again")
    try:
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return None


def _put_back(path: Path, before: bytes | None) -> None:
    if before is None:
        path.unlink(missing_ok=True)
    else:
        path.write_bytes(before)
