"""Zipped documents opened with care: how much they unpack to is known before anything is unpacked."""

from __future__ import annotations

import re
import zipfile
import zlib
from pathlib import Path
from typing import Final

from riserkit.model.problems import InputError, Problem, Where

MOST_UNPACKED: Final = 200_000_000
"""Bytes; a workbook of a hundred thousand doors takes fewer."""
MOST_PARTS: Final = 5_000
_DECLARES: Final = re.compile(rb"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)


def refused(path: Path, wanted: str) -> InputError:
    """The error that a document cannot be read."""
    return InputError([Problem(Where(path.name), "", "", wanted)])


def why_broken(error: Exception) -> str:
    """What the library says of a broken file, in a phrase."""
    if isinstance(error, zlib.error):
        return "what is compressed in it is damaged"
    words = " ".join(str(error.__cause__ or error).split())
    return "a value in it is of the wrong kind" if "<class" in words else words[:80]


def checked_archive(path: Path) -> dict[str, int]:
    """The parts of a zipped document with their sizes.

    Raises:
        InputError: it is no such archive, is locked, unpacks to too much, or declares entities, which may hide more.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS:
                raise refused(path, f"expected at most {MOST_PARTS} parts in it; this has {len(parts)}")
            if sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise refused(path, f"expected at most {MOST_UNPACKED // 10**6} MB when unpacked; this claims more")
            if any(part.flag_bits & 1 for part in parts):
                raise refused(path, "expected a document without a password")
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    with archive.open(part) as stream:
                        if _DECLARES.search(stream.read(4096)):
                            raise refused(
                                path, f"expected no document type in {part.filename[:60]}; it may hide anything"
                            )
            return {part.filename: part.file_size for part in parts}
    except (
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        zlib.error,
        NotImplementedError,
        EOFError,
        OSError,
        ValueError,
        RuntimeError,
    ) as error:
        with path.open("rb") as stream:
            head = stream.read(4)
        if head == b"\xd0\xcf\x11\xe0":
            raise refused(
                path, "expected a workbook of the open format; this is an old or locked one, save it as .xlsx"
            ) from None
        raise refused(path, f"expected a workbook; this is broken or none ({why_broken(error)})") from None
