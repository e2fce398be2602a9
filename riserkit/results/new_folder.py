"""A new folder of files that appears whole or not at all."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from pathlib import Path

from riserkit.errors import RiserkitError
from riserkit.results.folder import folder_beside


class FolderError(RiserkitError):
    """A folder cannot be made; the text says why and what would do."""


def write_new_folder(folder: Path, texts: Mapping[str, str]) -> None:
    """Write files (UTF-8, newlines as they are) into a folder that is not there yet, or is empty.

    They are written beside it first, then renamed into place, so that a kill in the middle leaves no half of a folder; what
    it leaves beside is cleared away by the next call.

    Raises:
        FolderError: something is there already, or the place cannot be written.
    """
    with contextlib.ExitStack() as stack:
        try:
            _refuse(folder)
            whole = stack.enter_context(folder_beside(folder)) / "whole"
        except OSError as error:
            raise FolderError(f"{folder} cannot be made: {error.strerror}; name a place that can be written") from error
        try:
            whole.mkdir()
            for name, text in sorted(texts.items()):
                (whole / name).write_bytes(text.encode())
            if folder.is_dir():
                folder.rmdir()
            whole.replace(folder)
        except OSError as error:
            raise FolderError(f"{folder} cannot be written: {error.strerror}; nothing was written") from error


def _refuse(folder: Path) -> None:
    if folder.is_dir():
        if any(folder.iterdir()):
            raise FolderError(f"{folder} is not empty; name a folder that is not there yet, or an empty one")
    elif folder.exists() or folder.is_symlink():
        raise FolderError(f"{folder} is there and is no folder; name a folder that is not there yet")
