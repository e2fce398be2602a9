"""Sizes of doors as lists write them: `915x2134`, `3'-0" x 7'-0"`, `3070`, `(2) 915 x 2134`, with or without units."""

from __future__ import annotations

import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.quantities.stated import parse_quantity

UNITS_M: Final = {"mm": 0.001, "cm": 0.01, "dm": 0.1, "m": 1.0, "in": 0.0254, "ft": 0.3048}
LEAST_M: Final = 0.3
MOST_M: Final = 20.0
"""Less or more is the width or height of no door."""
_WIDEST_LEAF_M: Final = 1.7
_WIDEST_OF_A_PAIR_M: Final = 1.35
"""Of a width beside the word *pair*, more is that of both leaves (common practice, no source)."""
_LEAVES: Final = 2
_PAIR = re.compile(
    r"^\s*(?:\(?\s*2\s*\)|2\s*/|2\s*no\.?|2\s*@|2\s*[x×]\s*(?=\d+.*[x×])|(?P<word>pr\.?|pair(?: of)?|dbl\.?|double))\s*[x×]?\s*(?:of\s*)?",
    re.IGNORECASE,
)
_PAIR_BEHIND = re.compile(r"\s*[,(]?\s*\b(?P<word>pr\.?|pair|dbl\.?|double)\s*\)?\s*$", re.IGNORECASE)
_TIMES = re.compile(r"\s*(?:x|×|\*|by)\s*", re.IGNORECASE)
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_THOUSANDS = re.compile(r"\d{1,2}[.,]\d{3}")
_TWO_ALIKE = re.compile(r"(?:\(2\)\s*[x×]?|2\s*(?:[x×*@]|no\.?|ea\.?|leaves(?: of)?))\s*", re.IGNORECASE)
_PAIR_WORD = re.compile(r"\(?(?:pr\b\.?|pair\b(?: of\b)?)\)?\s*", re.IGNORECASE)
_BETWEEN_LEAVES = re.compile(r"\s*[+/&]\s*")
_DASHED = re.compile(r"(\d{1,2})\s*-\s*(\d{1,2})(?:\s+(\d)/(\d{1,2}))?\"?")
_METRES = re.compile(r"^(\d)\s*m\s*(\d{2})$")
_CODE = re.compile(r"(\d)(\d)(\d)(\d)|(\d{2})(\d)(\d)(\d)")
_MODULE = re.compile(r"M\s?(\d{1,2})\s*[x×]\s*(\d{2})", re.IGNORECASE)
"""Modules of 100 mm, as Scandinavian lists write a door of 9 by 21."""
_CODE_DIGITS: Final = 4
_ROLE = re.compile(
    r"^\s*(?:w|h|width|height)\s*[:=]?\s*|\s*\(?(?:\b|(?<=[\d\"']))(?:w|h|wide|high)\)?\s*$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Size:
    """A size as read: metres, and 2 where it says that these are the leaves of a pair, with each one's width where it states both."""

    width_m: float | None = None
    height_m: float | None = None
    leaves: int | None = None
    leaves_m: tuple[float, ...] = ()


def read_length(text: str, unit: str = "") -> float | None:
    r"""A length in metres; None when it is none, or a bare number whose unit is not known.

    Examples:
        >>> read_length("3'-0\""), read_length("3-0"), read_length("915", "mm"), read_length("915 mm")
        (0.9144, 0.9144, 0.915, 0.915)
        >>> read_length("1.600", "mm"), read_length("1.600", "m")
        (1.6, 1.6)
        >>> read_length("1m80")
        1.8
    """
    text = _ROLE.sub("", text.strip()).replace("''", '"')
    if dashed := _DASHED.fullmatch(text):
        inches = int(dashed[2]) + (int(dashed[3]) / int(dashed[4]) if dashed[3] and int(dashed[4]) else 0)
        return round((int(dashed[1]) * 12 + inches) * 0.0254, 9)
    if unit == "mm" and _THOUSANDS.fullmatch(text):
        # 1.600 mm or 1,600 mm is more than a metre, and nobody states a door to the micrometre
        return round(float(re.sub("[.,]", "", text)) * UNITS_M[unit], 9)
    if _BARE.fullmatch(text):
        return round(float(text.replace(",", ".")) * UNITS_M[unit], 9) if unit else None
    try:
        return round(parse_quantity(_METRES.sub(r"\1.\2 m", text), "m"), 9)
    except ValueError:
        return None


def read_leaves(text: str, unit: str = "") -> tuple[float, ...]:
    r"""The widths in metres of the two leaves that a cell states; empty where it states no two.

    Examples:
        >>> read_leaves("900+450", "mm"), read_leaves("2 x 900", "mm"), read_leaves("900 / 450 mm"), read_leaves("2 x 900 mm")
        ((0.9, 0.45), (0.9, 0.9), (0.9, 0.45), (0.9, 0.9))
        >>> read_leaves("3'-0\" + 1'-6\""), read_leaves("900", "mm"), read_leaves("900/2100", "mm"), read_leaves("900+450")
        ((0.9144, 0.4572), (), (), ())
        >>> read_leaves("PR 3'-0\""), read_leaves("PR. 1800", "mm")
        ((0.9144, 0.9144), (0.9, 0.9))
    """
    plain = _ROLE.sub("", text.strip())
    if (pair := _PAIR_WORD.match(plain)) and (whole_m := read_length(plain[pair.end() :], unit)):
        leaf_m = whole_m if whole_m <= _WIDEST_OF_A_PAIR_M else round(whole_m / 2, 9)
        return (leaf_m, leaf_m) if LEAST_M <= leaf_m <= _WIDEST_LEAF_M else ()
    alike = _TWO_ALIKE.match(plain)
    parts = [plain[alike.end() :]] * 2 if alike else _BETWEEN_LEAVES.split(plain)
    named = re.search(r"(?:mm|cm|m|in|ft)$", parts[-1])
    widths_m = [read_length(f"{part}{named[0]}" if named and _BARE.fullmatch(part) else part, unit) for part in parts]
    found = tuple(width_m for width_m in widths_m if width_m is not None and LEAST_M <= width_m <= _WIDEST_LEAF_M)
    return found if len(found) == len(parts) == _LEAVES else ()


def read_size(text: str, unit: str = "") -> Size | None:
    r"""A width and a height in one cell; None when it is no size.

    Examples:
        >>> read_size("915x2134", "mm")
        Size(width_m=0.915, height_m=2.134, leaves=None, leaves_m=())
        >>> read_size("(2) 3'-0\" x 7'-0\"")
        Size(width_m=1.8288, height_m=2.1336, leaves=2, leaves_m=())
        >>> read_size("3070")
        Size(width_m=0.9144, height_m=2.1336, leaves=None, leaves_m=())
        >>> read_size("900+450 x 2100", "mm")
        Size(width_m=1.35, height_m=2.1, leaves=2, leaves_m=(0.9, 0.45))
        >>> [(size.width_m, size.leaves) for text in ("PR 3070", "6'-0\" x 7'-0\" PAIR", "DBL 3-0x7-0", "3'-0'' x 7'-0''")
        ...  if (size := read_size(text))]
        [(1.8288, 2), (1.8288, 2), (1.8288, 2), (0.9144, None)]
        >>> [(size.width_m, size.height_m) for size in (read_size("M9x21"), read_size("1800W x 2100H", "mm")) if size]
        [(0.9, 2.1), (1.8, 2.1)]
    """
    if module := _MODULE.fullmatch(text.strip()):
        return Size(round(int(module[1]) * UNITS_M["dm"], 9), round(int(module[2]) * UNITS_M["dm"], 9))
    pair = _PAIR.match(text)
    rest = text[pair.end() :] if pair else text
    if pair is None and (pair := _PAIR_BEHIND.search(text)):
        rest = text[: pair.start()]
    parts = _TIMES.split(rest.strip())
    if len(parts) in (2, 3):
        if _BARE.fullmatch(parts[0]) and not _BARE.fullmatch(parts[1]):
            # 915 x 2134 mm: the unit stands once, at the end
            named = re.search(r"(mm|cm|m|in|ft|\"|')\s*$", parts[1])
            parts[0] += named[1] if named and not named[1].startswith("'") else ""
        if height := read_length(parts[1], unit) if (leaves_m := read_leaves(parts[0], unit)) else None:
            return Size(round(sum(leaves_m), 9), height, len(leaves_m), leaves_m)
        width, height = (read_length(part, unit) for part in parts[:2])
        return _of_leaves(width, height, pair) if width and height else None
    code = _CODE.fullmatch(rest.strip())
    if code:
        feet, inch, high, rest_inch = (int(x) for x in code.groups() if x is not None)
        return _of_leaves((feet * 12 + inch) * 0.0254, (high * 12 + rest_inch) * 0.0254, pair)
    return None


def _of_leaves(width_m: float, height_m: float, pair: re.Match[str] | None) -> Size:
    """A size of one leaf, or of a pair: a width that beside the word no leaf has is that of both."""
    height_m = round(height_m, 9)
    if pair is None:
        return Size(round(width_m, 9), height_m)
    if pair["word"] and width_m > _WIDEST_OF_A_PAIR_M:
        return Size(round(width_m, 9), height_m, _LEAVES, (round(width_m / 2, 9),) * 2)
    return Size(round(width_m * _LEAVES, 9), height_m, _LEAVES)


def is_size_code(text: str) -> bool:
    """Whether four digits are a door's width and height in feet and inches.

    Examples:
        >>> is_size_code("3068"), is_size_code("1800"), is_size_code("915")
        (True, False, False)
    """
    size = read_size(text) if _CODE.fullmatch(text) and len(text) == _CODE_DIGITS else None
    return size is not None and 0.5 <= (size.width_m or 0.0) <= 2.5 and 1.8 <= (size.height_m or 0.0) <= 3.0


def numbers_of(texts: Sequence[str]) -> tuple[list[float], list[float]]:
    """The bare widths and heights in cells, of which the unit is yet to be found."""
    widths, heights = [], []
    for text in texts:
        pair = _PAIR.match(text)
        parts = _TIMES.split((text[pair.end() :] if pair else text).strip())
        if len(parts) >= 2 and all(_BARE.fullmatch(part) for part in parts[:2]):
            widths.append(float(parts[0].replace(",", ".")))
            heights.append(float(parts[1].replace(",", ".")))
    return widths, heights


def likely_unit(widths: Sequence[float], heights: Sequence[float]) -> str:
    """The unit in which these are sizes of doors; empty where none, or several.

    Doors are 0.5 to 5 m wide and 1.8 to 4 m high (common practice, no source).

    Examples:
        >>> likely_unit([915, 1830], [2134]), likely_unit([36, 42], [84]), likely_unit([3.0], [7.0]), likely_unit([90], [210])
        ('mm', 'in', 'ft', 'cm')
    """
    fitting = []
    for unit, unit_m in UNITS_M.items():
        wide = 0.5 <= statistics.median(widths) * unit_m <= 5.0 if widths else True
        high = 1.8 <= statistics.median(heights) * unit_m <= 4.0 if heights else True
        # of widths alone 6 is more likely feet; modules of 100 mm are 21 high
        if wide and high and (heights if unit == "dm" else widths or heights):
            fitting.append(unit)
    if len(fitting) > 1 and widths:
        # Of what fits, a leaf is nearest to a metre.
        usual = [u for u in fitting if 0.6 <= statistics.median(widths) * UNITS_M[u] <= 1.3]
        fitting = usual or fitting
    return fitting[0] if len(fitting) == 1 else ""


def bare_number(text: str) -> float | None:
    """The number in a cell that holds nothing else; None for others.

    Examples:
        >>> bare_number("0,915"), bare_number("915 mm")
        (0.915, None)
    """
    plain = _ROLE.sub("", text.strip())
    return float(plain.replace(",", ".")) if _BARE.fullmatch(plain) else None


def is_thousands(text: str, unit: str) -> bool:
    """Whether a bare number of millimetres is read as having a sign of thousands in it, as `0.915` and `1.600` are.

    Examples:
        >>> is_thousands("0.915", "mm"), is_thousands("915", "mm"), is_thousands("0.915", "m")
        (True, False, False)
    """
    return unit == "mm" and _THOUSANDS.fullmatch(_ROLE.sub("", text.strip())) is not None


def is_door_size(value_m: float) -> bool:
    """Whether a width or a height may be that of a door at all, however large."""
    return LEAST_M <= value_m <= MOST_M


def only_unit(widths: Sequence[float], heights: Sequence[float]) -> str:
    """The one unit in which all of these are sizes of doors, and of usual ones; empty where there is none, or more than one.

    Other than `likely_unit` it takes no unit because that is the more usual one of two, nor one that makes a door of a slip:
    9.15 is more likely 915 than 9.15 feet. Usual doors are 0.6 to 2 m wide and 1.9 to 2.6 m high (common practice, no source).

    Examples:
        >>> only_unit([900], [2100]), only_unit([36], []), only_unit([3.0], []), only_unit([9.15], [])
        ('mm', 'in', '', '')
    """
    numbers = [
        *((width, 0.5, 5.0, 0.6, 2.0) for width in widths),
        *((height, 1.8, 4.0, 1.9, 2.6) for height in heights),
    ]
    able = [
        unit
        for unit, unit_m in UNITS_M.items()
        if unit != "dm" and all(low <= n * unit_m <= high for n, low, high, _, _ in numbers)
    ]
    if len(able) != 1 or not numbers:
        return ""
    unit_m = UNITS_M[able[0]]
    return able[0] if all(low <= n * unit_m <= high for n, _, _, low, high in numbers) else ""
