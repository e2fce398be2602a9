"""Paragraphs with inline codes set into runs of letters: height, width factor, slant, stacked fractions.

The codes are read by the drawing library's own parser; widths are those of the shipped font.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from ezdxf.tools.text import MTextContext, MTextParser, TokenType

from riserkit.drawings.dxf.text import text_width_mm

_PLAIN: Final = re.compile(r"\\[P~\\{}]")
"""Codes that change no letter's size: the end of a paragraph, a fixed space, and letters that codes begin with."""
_STACKED: Final = 0.7
"""Height of the parts of a fraction over that of the letters beside it, as the drawing library sets them."""
_TAB_LETTERS: Final = 4


class LetterRun(NamedTuple):
    """Letters set alike: where they start, right of the line's start and above its baseline, and how they are set."""

    text: str
    x: float
    y: float
    height: float
    factor: float = 1.0
    oblique_deg: float = 0.0


class LetterLine(NamedTuple):
    """Runs of one line, its width, and the height of its highest letters."""

    runs: tuple[LetterRun, ...]
    width: float
    height: float


def has_codes(mtext: Any) -> bool:
    """Whether letters of a paragraph are set in more than one way, or otherwise than plainly."""
    return _style(mtext) != (1.0, 0.0) or any(c in _PLAIN.sub("", mtext.text) for c in "\\{")


def _style(mtext: Any) -> tuple[float, float]:
    """Width factor and slant of its text style."""
    name = mtext.dxf.get("style", "Standard")
    if mtext.doc is None or name not in mtext.doc.styles:
        return 1.0, 0.0
    style = mtext.doc.styles.get(name)
    return float(style.dxf.get("width", 1.0)) or 1.0, float(style.dxf.get("oblique", 0.0))


def lines_of(mtext: Any) -> Iterator[LetterLine]:
    """The lines of a paragraph, broken at its width."""
    base = MTextContext()
    base.cap_height = float(mtext.dxf.char_height)
    base.width_factor, base.oblique = _style(mtext)
    room = float(mtext.dxf.get("width", 0.0))
    runs: list[LetterRun] = []
    x, height = 0.0, base.cap_height
    for token in MTextParser(mtext.text, base):
        ctx = token.ctx
        ends = token.type in (TokenType.NEW_PARAGRAPH, TokenType.NEW_COLUMN)
        found = [] if ends else list(_runs(token.type, token.data, ctx))
        width = max((run.x + _width(run) for run in found), default=0.0)
        if ends or (found and runs and room and x + width > room):
            yield LetterLine(tuple(runs), x, height)
            runs, x, height = [], 0.0, base.cap_height if ends else ctx.cap_height
        runs += [run._replace(x=run.x + x) for run in found]
        height = max(height, ctx.cap_height) if found else height
        x += width or _space(token.type, ctx)
    yield LetterLine(tuple(runs), x, height)


def _runs(kind: TokenType, data: Any, ctx: MTextContext) -> Iterator[LetterRun]:
    setting = ctx.width_factor, ctx.oblique
    if kind is TokenType.WORD:
        yield LetterRun(data, 0.0, 0.0, ctx.cap_height, *setting)
    elif kind is TokenType.STACK:
        upper, lower, divider = data
        small = ctx.cap_height * _STACKED
        over = LetterRun(upper, 0.0, 0.5 * ctx.cap_height, small, *setting)
        yield over
        beside, below = (_width(over), 0.0) if divider == "#" else (0.0, -0.5 * ctx.cap_height)
        if lower:
            yield LetterRun(lower, beside, below, small, *setting)


def _width(run: LetterRun) -> float:
    return text_width_mm(run.text, run.height) * run.factor


def _space(kind: TokenType, ctx: MTextContext) -> float:
    letters = {TokenType.SPACE: 1, TokenType.NBSP: 1, TokenType.TABULATOR: _TAB_LETTERS}.get(kind, 0)
    return letters * text_width_mm(" ", ctx.cap_height) * ctx.width_factor
