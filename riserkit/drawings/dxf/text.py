"""Text: measured by the shipped font, set into lines, and made safe for DXF.

The reader's program may lack the font, so widths are exact only where it is installed; leave ten per cent of slack
in boxes that must never overflow. Heights are heights of the capital letters in millimetres, as DXF means them.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from fontTools.ttLib import TTFont, TTLibError  # type: ignore[import-untyped]

from riserkit.drawings.dxf.errors import FontError, TextError
from riserkit.standards.sheets import TEXT_HEIGHTS_MM

FONT_FILE: Final = "DejaVuSansCondensed.ttf"
FONT_NAME: Final = "DejaVu Sans Condensed"
FALLBACK_FILE: Final = "unifont.otf"
FALLBACK_NAME: Final = "GNU Unifont"
"""Font of the texts whose script the shipped one lacks; open, too large to be shipped."""
LEAST_HEIGHT_MM: Final = TEXT_HEIGHTS_MM[0]
"""No text on a sheet is smaller than this at plotted scale: the smallest nominal height of ISO 3098-1."""
CAPITALS_SLACK: Final = 1.2
"""Room for words of capitals over their width here: fonts of Arial's widths set these up to a sixth wider, other words alike."""
LINE_PITCH: Final = 1.6
"""Distance from baseline to baseline over the height; ISO 3098-1 asks 22/14 = 1.57 at least (from memory)."""
ELLIPSIS: Final = "…"
MAX_CHARACTERS: Final = 2000
"""One TEXT holds 2049 bytes from release R2000 on; kept with some room."""
_BUILT: Final = 0x2300
"""From here on there are symbols to be put together from pieces, one line touching the next."""
_LOWEST: Final = -0.3
_HIGHEST: Final = 1.3
"""Ink of a symbol, in heights of a capital, that stays within its line."""
_WIDE_MARKS: Final = frozenset("、。〈〉《》「」『』【】〔〕・（），－．／：；！？～　")
_UNIT: Final = re.compile(r"(?:[mk]?[VAWΩ]|VA|Ah|Hz|[mck]?m²?|mm2|in|ft|s|min|h|AWG|ohm|°[CF]|%)[,.;:)]*")
_SMALL_NUMBER: Final = re.compile(r"\d{1,3}[,.;:)]*")


@dataclass(frozen=True, slots=True)
class FittedText:
    """Lines that fit their room. `complete` is False when something was abbreviated with an ellipsis."""

    lines: tuple[str, ...]
    height_mm: float
    width_mm: float
    complete: bool

    @property
    def block_height_mm(self) -> float:
        """From the top of the first line's capitals to the last baseline."""
        return block_height_mm(len(self.lines), self.height_mm)


def block_height_mm(lines: int, height_mm: float) -> float:
    """Height of so many lines, from the top of the first capitals to the last baseline."""
    return height_mm * (1 + LINE_PITCH * (lines - 1)) if lines else 0.0


def font_path() -> Path:
    """The shipped font's file.

    Raises:
        FontError: the file is not there: the installation is damaged, and no other font may stand in silently.
    """
    path = Path(__file__).parent / "fonts" / FONT_FILE
    if not path.is_file():
        raise FontError(f"the font {FONT_FILE} is missing from {path.parent}; install riserkit again")
    return path


class _Font:
    """Advance widths and glyph bounds in heights of a capital letter."""

    def __init__(self, path: Path) -> None:
        try:
            ttf = TTFont(BytesIO(path.read_bytes()), lazy=True)
            self._cmap: dict[int, str] = ttf.getBestCmap()
            self._metrics: dict[str, tuple[int, int]] = ttf["hmtx"].metrics
            self._glyphs: Any = ttf["glyf"]
            self._cap_units: float = self._glyphs["A"].yMax
        except (TTLibError, KeyError, OSError, AttributeError) as error:
            raise FontError(f"the font {path} cannot be read ({error}); install riserkit again") from error
        self._em: float = ttf["head"].unitsPerEm
        self._advance: dict[str, float] = {}
        self._bounds: dict[str, tuple[float, float]] = {}

    def has(self, code: int) -> bool:
        return code in self._cmap

    def advance(self, char: str) -> float:
        found = self._advance.get(char)
        if found is None:
            # of another font's letters none is wider than its em, and marks stand on the letter before them
            lacking = 0 if unicodedata.category(char)[0] == "M" else self._em
            units = self._metrics[self._cmap[ord(char)]][0] if ord(char) in self._cmap else lacking
            found = self._advance[char] = units / self._cap_units
        return found

    def bounds(self, char: str) -> tuple[float, float]:
        found = self._bounds.get(char)
        if found is None:
            glyph = self._glyphs[self._cmap.get(ord(char), ".notdef")]
            low, high = getattr(glyph, "yMin", 0), getattr(glyph, "yMax", 0)
            found = self._bounds[char] = (low / self._cap_units, high / self._cap_units)
        return found


@cache
def _font() -> _Font:
    return _Font(font_path())


class _ShownCharacters(dict[int, str]):
    """Translation table that fills itself: what of the font's characters is drawn for each code point."""

    def __missing__(self, code: int) -> str:
        shown = self[code] = _shown_char(chr(code), code)
        return shown


def _shown_char(char: str, code: int) -> str:
    if char in "\t\n\r\v\f\x1c\x1d\x1e\x85\u2028\u2029":
        return " "
    if unicodedata.category(char)[0] == "C":
        return f"[{code:04X}]"
    if not _font().has(code):
        # letters of a script are for the fallback font; of signs and spaces nobody knows which font has them
        return char if unicodedata.category(char)[0] in "LMN" or char in _WIDE_MARKS else f"[{code:04X}]"
    if code >= _BUILT and unicodedata.category(char)[0] == "S":
        low, high = _font().bounds(char)
        # pieces of boxes and the like reach into the lines above and below
        return char if low >= _LOWEST and high <= _HIGHEST else f"[{code:04X}]"
    return char


_SHOWN: Final = _ShownCharacters()
_PERCENT: Final = re.compile("%(?=%)")
_CODED: Final = re.compile(r"\\(?=[UuMm]\+)")


@lru_cache(maxsize=65536)
def shown_text(text: str) -> str:
    r"""What a drawing shows for a user's text, in one line.

    Control characters, and signs that the font lacks, come out as their code point in brackets, visible and telling
    two marks apart; letters of a script that it lacks stay, for the fallback font; line ends and tabs are a space.
    `%%` and `\U+` would be read as DXF's own codes by every program, with no escape that all of them know, so a space
    is put between; a caret at the very end, which DXF forbids and ezdxf drops, becomes the letter that looks like it.

    >>> shown_text("100%%c\t<A>"), shown_text("Vault \x07")
    ('100% %c <A>', 'Vault [0007]')
    """
    shown = text.translate(_SHOWN)
    if "%%" in shown:
        shown = _PERCENT.sub("% ", shown)
    if "\\" in shown:
        shown = _CODED.sub("\\\\ ", shown)
    if shown.endswith("^"):
        kept = shown.rstrip("^")
        shown = kept + "ˆ" * (len(shown) - len(kept))
    return shown


def with_code_points(text: str) -> str:
    """A text with each letter that the shipped font lacks as its code point: what can be shown where no font has them.

    >>> with_code_points("門 1")
    '[9580] 1'
    """
    return "".join(char if char.isspace() or _font().has(ord(char)) else f"[{ord(char):04X}]" for char in text)


@lru_cache(maxsize=65536)
def needs_fallback(text: str) -> bool:
    """Whether a text as it is shown has letters that the shipped font lacks.

    >>> needs_fallback("Дверь Θ1"), needs_fallback("門 1")
    (False, True)
    """
    return not text.isascii() and any(not _font().has(ord(char)) for char in shown_text(text))


@lru_cache(maxsize=65536)
def escape_text(text: str) -> str:
    r"""A user's text made safe for a TEXT or an ATTRIB: reads back as `shown_text(text)`.

    >>> escape_text("^J 50%")
    '^ J 50%'
    """
    return shown_text(text).replace("^", "^ ")


@lru_cache(maxsize=65536)
def escape_mtext(text: str) -> str:
    r"""A user's text made safe for an MTEXT; line ends become paragraphs.

    >>> escape_mtext("{A}\\B\nC")
    '\\{A\\}\\\\B\\PC'
    """
    lines = (shown_text(line) for line in text.splitlines())
    return r"\P".join(re.sub(r"([\\{}])", r"\\\1", line).replace("^", "^ ") for line in lines)


@lru_cache(maxsize=65536)
def _width_in_heights(text: str) -> float:
    return sum(map(_font().advance, shown_text(text)))


def text_width_mm(text: str, height_mm: float) -> float:
    """Width of a text as it is shown, by the advance widths of the shipped font, without kerning.

    CAD programs set text without kerning; the height is that of a capital letter.
    """
    return _width_in_heights(text) * height_mm


@lru_cache(maxsize=65536)
def _bounds_in_heights(text: str) -> tuple[float, float]:
    bounds = [_font().bounds(char) for char in shown_text(text)]
    return min((low for low, _ in bounds), default=0.0), max((high for _, high in bounds), default=0.0)


def text_bounds_mm(text: str, height_mm: float) -> tuple[float, float]:
    """Lowest and highest ink above the baseline, of the text as it is shown."""
    low, high = _bounds_in_heights(text)
    return low * height_mm, high * height_mm


@lru_cache(maxsize=16384)
def wrap(text: str, width_mm: float, height_mm: float) -> tuple[str, ...]:
    """Lines of at most the width: broken between words, inside a word only where it alone is too long.

    Args:
        text: as the user wrote it; its line ends are kept.
        width_mm: room.
        height_mm: height of capitals.

    Raises:
        TextError: the room is narrower than a single character.
    """
    lines: list[str] = []
    for paragraph in text.splitlines() or [""]:
        lines += _wrap_paragraph(shown_text(paragraph), width_mm / height_mm)
    return tuple(lines)


def _wrap_paragraph(shown: str, room: float) -> list[str]:
    words = shown.split()
    whole = " ".join(words)
    if _width_in_heights(whole) <= room:
        return [whole]
    lines, line = [], ""
    for word in _kept_together(words, room):
        joined = f"{line} {word}" if line else word
        if _width_in_heights(joined) <= room:
            line = joined
            continue
        if line:
            lines.append(line)
        *broken, line = _break_word(word, room)
        lines += broken
    return [*lines, line]


def _kept_together(words: Sequence[str], room: float) -> Iterator[str]:
    """Words, a number with its unit, or a short one with the word before it, in one piece: `12 V`, `class 4`."""
    held = words[0]
    for last, word, following in zip(words, words[1:], (*words[2:], ""), strict=False):
        if _joins(last, word, following) and _width_in_heights(f"{held} {word}") <= room:
            held = f"{held} {word}"
        else:
            yield held
            held = word
    yield held


def _joins(last: str, word: str, following: str) -> bool:
    if last[-1].isdigit():
        return _UNIT.fullmatch(word) is not None
    counts = last.isalpha() and _SMALL_NUMBER.fullmatch(word) is not None
    return counts and _UNIT.fullmatch(following) is None


def _break_word(word: str, room: float) -> Iterator[str]:
    """Pieces of one long word: after a mark of punctuation if there is one beyond the line's first third."""
    while _width_in_heights(word) > room:
        count = _count_fitting(word, room)
        if count == 0:
            raise TextError(f"no room for even one character of {word[:20]!r}; make the box wider")
        cut = max((i + 1 for i in range(count) if word[i] in "-/._:,;=+@"), default=0)
        cut = cut if cut * 3 > count else count
        yield word[:cut]
        word = word[cut:]
    yield word


def _count_fitting(text: str, room: float) -> int:
    """How many of the text's first characters fit."""
    used = 0.0
    for count, char in enumerate(text):
        used += _font().advance(char)
        if used > room:
            return count
    return len(text)


def shorten(text: str, width_mm: float, height_mm: float) -> str:
    """The text in one line, cut with an ellipsis where it is too long.

    Raises:
        TextError: not even the ellipsis fits.
    """
    shown, room = shown_text(text), width_mm / height_mm
    if _width_in_heights(shown) <= room:
        return shown
    left = room - _width_in_heights(ELLIPSIS)
    if left < 0:
        raise TextError(f"no room for {text[:20]!r} at {height_mm:g} mm in {width_mm:g} mm; make the box wider")
    return shown[: _count_fitting(shown, left)].rstrip() + ELLIPSIS


def fit_text(
    text: str, width_mm: float, height_mm: float, min_height_mm: float = LEAST_HEIGHT_MM, max_lines: int = 1
) -> FittedText:
    """The text at the greatest standard height from `height_mm` down at which it fits, else cut with an ellipsis.

    Args:
        text: as the user wrote it.
        width_mm: room across.
        height_mm: height wanted.
        min_height_mm: least height; what does not fit at this is abbreviated, never made smaller.
        max_lines: lines there is room for.

    Raises:
        TextError: not even one character fits, or the least height is above the wanted one.
    """
    if min_height_mm > height_mm:
        raise TextError(f"least height {min_height_mm:g} mm is above the wanted {height_mm:g} mm")
    between = [h for h in reversed(TEXT_HEIGHTS_MM) if min_height_mm < h < height_mm]
    for height in dict.fromkeys([height_mm, *between]):
        # a single character wider than the room may still fit smaller
        with suppress(TextError):
            lines = wrap(text, width_mm, height)
            if len(lines) <= max_lines:
                return _fitted(lines, height, complete=True)
    lines = wrap(text, width_mm, min_height_mm)
    if len(lines) <= max_lines:
        return _fitted(lines, min_height_mm, complete=True)
    kept = lines[: max_lines - 1]
    rest = " ".join(line for line in lines[max_lines - 1 :] if line)
    last = shorten(rest, width_mm, min_height_mm)
    return _fitted((*kept, last), min_height_mm, complete=last == rest)


def _fitted(lines: tuple[str, ...], height_mm: float, *, complete: bool) -> FittedText:
    width_mm = max(text_width_mm(line, height_mm) for line in lines)
    return FittedText(lines, height_mm, width_mm, complete)


def check_line(text: str, height_mm: float) -> None:
    """Hold a line of text against what one entity can be.

    Raises:
        TextError: below the least height, or too long.
    """
    if height_mm < LEAST_HEIGHT_MM:
        raise TextError(f"text of {height_mm:g} mm is below the least height of {LEAST_HEIGHT_MM:g} mm")
    if len(text) > MAX_CHARACTERS:
        raise TextError(f"a line of {len(text)} characters; wrap it to lines of {MAX_CHARACTERS} at most")
