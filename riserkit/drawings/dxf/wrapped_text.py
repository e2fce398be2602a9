"""Inline codes round the whole of a paragraph, which set its letters and are none of its words.

A drafter who makes a paragraph red or slanted leaves them there. Codes about some of its words stay with the words.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

_BEFORE: Final = re.compile(r"(?:\{|\\[LOK]|\\[ACcfFHQTWp][^;\\{}]*;)*")
_AFTER: Final = re.compile(r"(?:\\[lok]|\})*\Z")
_PLAIN: Final = re.compile(r"\\[P~\\{}]")
"""Codes that are words: the end of a line, a fixed space, and letters that codes begin with."""


class WrappedText(NamedTuple):
    """A paragraph: the codes before all of its words, the words, and the codes after them."""

    before: str
    words: str
    after: str

    @property
    def text(self) -> str:
        """As an entity has it."""
        return f"{self.before}{self.words}{self.after}"


def unwrapped(text: str) -> WrappedText:
    r"""A paragraph's text taken apart; all of it is words where codes stand between them.

    Examples:
        >>> unwrapped(r"{\C1;First line\Psecond}").words, unwrapped(r"one {\C1;red} word").words
        ('First line\\Psecond', 'one {\\C1;red} word')
    """
    if _is_plain(text):
        return WrappedText("", text, "")
    first = _BEFORE.match(text)
    start = first.end() if first else 0
    for end in range(start, len(text) + 1):
        last = _AFTER.match(text, end)
        if last is not None and text.count("{", 0, start) == last.group().count("}") and _is_plain(text[start:end]):
            return WrappedText(text[:start], text[start:end], last.group())
    return WrappedText("", text, "")


def _is_plain(text: str) -> bool:
    return not set(_PLAIN.sub("", text)) & set("\\{}")
