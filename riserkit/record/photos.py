"""Photographs that a crew brings back: looked for where they may be, and kept beside the returns that name them."""

from __future__ import annotations

import hashlib
import io
import os
import tempfile
import warnings
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from PIL import Image, UnidentifiedImageError

from riserkit.model.as_built import KeptPhoto
from riserkit.record.errors import RecordError
from riserkit.record.returns import returns_folder

FOLDER: Final = "photos"
MOST_BYTES: Final = 100_000_000
# First bytes of the formats that cameras and telephones write.
_BEGINS: Final = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\x00", b"MM\x00*")


def photos_folder(site: Path) -> Path:
    """Where photographs of a site are kept, there or not."""
    return returns_folder(site) / FOLDER


def kept_photos(site: Path, names: Iterable[str]) -> Iterator[KeptPhoto]:
    """Those of these photographs that are kept.

    Raises:
        RecordError: one is there and cannot be read.
    """
    folder = photos_folder(site)
    for name in dict.fromkeys(names):
        path = folder / name
        if path.is_file() and not path.is_symlink():
            data = _bytes(path)
            wide, high = pixels(data)
            yield KeptPhoto(
                name=name, size_bytes=len(data), width_px=wide, height_px=high, digest=hashlib.sha256(data).hexdigest()
            )


def look_for(name: str, folders: Sequence[Path]) -> Path | None:
    """The first file of this name in these folders; a link is not followed, for it may lead anywhere."""
    return next(
        (path for folder in folders if (path := folder / name).is_file() and not path.is_symlink()),
        None,
    )


def refusal(site: Path, path: Path) -> str:
    """Why a file cannot be taken as a photograph, as what is expected; empty when it can."""
    size = path.stat().st_size
    if not 0 < size <= MOST_BYTES:
        return f"expected a photograph of at most {MOST_BYTES // 1_000_000} MB; this file has {size} bytes"
    data = _bytes(path)
    is_modern = data[4:8] == b"ftyp" or (data[:4] == b"RIFF" and data[8:12] == b"WEBP")
    if not data.startswith(_BEGINS) and not is_modern:
        return "expected a photograph (JPEG, PNG, TIFF, WebP or HEIC); this file is none"
    there = photos_folder(site) / path.name
    if there.is_file() and _bytes(there) != data:
        return "expected a name of its own; another photograph of this name is on record"
    return ""


def keep(site: Path, found: Mapping[str, Path]) -> None:
    """Copy photographs beside the returns, each whole or not at all; one that is kept already stays.

    Raises:
        RecordError: one cannot be read or written.
    """
    folder = photos_folder(site)
    for name, path in found.items():
        target, data = folder / name, _bytes(path)
        if target.is_file():
            continue
        try:
            folder.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(prefix=".photo-", dir=folder)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(beside).chmod(0o644)
            Path(beside).replace(target)
        except OSError as error:
            raise RecordError(f"{target} cannot be written: {error.strerror}; nothing is on record") from error


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise RecordError(f"{path} cannot be read: {error.strerror}") from error


def pixels(data: bytes) -> tuple[int, int]:
    """Width and height in pixels; noughts where the picture's format cannot be read."""
    try:
        with warnings.catch_warnings():
            # of a size that would fill the memory; it is only read off here
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data)) as picture:
                return picture.size
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return 0, 0
