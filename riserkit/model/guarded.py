"""Text in a cell that a spreadsheet would take for a formula: one rule for reading and writing.

Text that begins with `=`, `+`, `-` or `@` is written with an apostrophe before it, and an apostrophe before such text is taken
off. An apostrophe alone is text that is empty on purpose.
"""

from __future__ import annotations

import re

# The full-width forms are formulas to some spreadsheets where the language has them.
_GUARDED = re.compile(r"'+(?:[=+\-@＝＋－＠]|$)")
_TO_GUARD = re.compile(r"'*(?:[=+\-@＝＋－＠]|$)")


def guard(text: str) -> str:
    """Text as it is written into a cell, so that no spreadsheet runs it and `unguard` gives it back."""
    return f"'{text}" if _TO_GUARD.match(text) else text


def unguard(cell: str) -> str:
    """The text of a cell that `guard` has written."""
    return cell[1:] if _GUARDED.match(cell) else cell
