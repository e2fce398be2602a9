"""From the bytes of a table to its text, whatever a spreadsheet saved it in."""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping
from typing import Final

# First bytes of files that people take for a table (published file signatures).
_SIGNATURES: Final[Mapping[bytes, str]] = {
    b"\x89PNG\r\n\x1a\n": "a PNG image",
    b"\xff\xd8\xff": "a JPEG image",
    b"GIF8": "a GIF image",
    b"%PDF": "a PDF document",
    b"PK\x03\x04": "a workbook or another zip archive; save the sheet as CSV",
    b"\xd0\xcf\x11\xe0": "an old workbook; save the sheet as CSV",
    b"\x1f\x8b": "a gzip archive",
}
_MARKS: Final[Mapping[bytes, str]] = {
    codecs.BOM_UTF8: "utf-8-sig",
    codecs.BOM_UTF16_LE: "utf-16",
    codecs.BOM_UTF16_BE: "utf-16",
}
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")


class NotTextError(ValueError):
    """The bytes are no text table; the message says what they are and what is expected.

    `line` is where, 0 where it is all of them.
    """

    def __init__(self, message: str, line: int = 0) -> None:
        super().__init__(message)
        self.line = line


def line_at(text: str | bytes, index: int) -> int:
    """The number of the line in which a character or byte stands."""
    return (text.count("\n", 0, index) if isinstance(text, str) else text.count(b"\n", 0, index)) + 1


def decode(data: bytes, encoding: str = "") -> str:
    """Turn a table's bytes into text.

    Args:
        data: the whole file.
        encoding: the encoding stated by the user; empty finds it: byte-order mark, UTF-8, UTF-16, Windows-1252.

    Raises:
        NotTextError: it is an image, a workbook or otherwise no text.
    """
    for signature, what in _SIGNATURES.items():
        if data.startswith(signature):
            raise NotTextError(f"expected a table of text; this is {what}")
    text = _stated(data, encoding) if encoding else _found(data)
    control = _CONTROL.search(text)
    if control:
        seen = f"U+{ord(control[0]):04X}"
        raise NotTextError(
            f"expected a table of text; there is a control character ({seen})", line_at(text, control.start())
        )
    return text


def _stated(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding).removeprefix("\ufeff")
    except (UnicodeError, LookupError) as error:
        line = line_at(data, error.start) if isinstance(error, UnicodeDecodeError) else 0
        raise NotTextError(f"expected text in the stated encoding {encoding!r}; {error}", line) from None


def _found(data: bytes) -> str:
    line = 0
    for encoding in (*(e for mark, e in _MARKS.items() if data.startswith(mark)), *_unmarked(data)):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError as error:
            line = line_at(data, error.start)
    raise NotTextError(
        "expected a table of text in UTF-8, UTF-16 or Windows-1252; these bytes are in none of them", line
    )


def _unmarked(data: bytes) -> tuple[str, ...]:
    # Without a mark, every other byte of a mostly English UTF-16 table is zero.
    head = data[:400]
    for encoding, zeros in (("utf-16-le", head[1::2]), ("utf-16-be", head[0::2])):
        if zeros and zeros.count(0) > 0.6 * len(zeros):
            return (encoding,)
    return ("utf-8", "cp1252")
