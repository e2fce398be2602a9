"""The one root of riserkit's own errors: whatever a user can mend is a `RiserkitError`, never a traceback."""

from __future__ import annotations

import unicodedata
from typing import Final

# Signs that turn the writing (Unicode Standard Annex 9, table 1), and the byte-order mark. Joiners stay: Arabic, Persian and
# Indian writing needs them.
_TURNING: Final = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")
# Controls, separators of lines and paragraphs, halves of pairs, tags and what is assigned to nothing.
_UNSHOWN: Final = frozenset({"Cc", "Zl", "Zp", "Cs", "Cn"})
_TAGS: Final = range(0xE0000, 0xE0080)


class RiserkitError(Exception):
    """Something that the user of riserkit can mend; its text says what and how, in signs that any terminal may have."""

    def __str__(self) -> str:
        """The text, with what would command a terminal written out."""
        return visible(super().__str__())


def visible(text: str) -> str:
    r"""Text as a terminal may have it: signs that command it, turn the writing or stand for nothing are written out.

    Lines stay lines. Text that any input, file name or stranger's exception may have a part in goes through this before it
    is printed.

    Examples:
        >>> visible("door\x1b[2J")
        'door\\x1b[2J'
    """
    if text.isprintable():
        return text
    return "".join(ch if ch == "\n" or not _unshown(ch) else ascii(ch)[1:-1] for ch in text)


def _unshown(ch: str) -> bool:
    return unicodedata.category(ch) in _UNSHOWN or ch in _TURNING or ord(ch) in _TAGS
