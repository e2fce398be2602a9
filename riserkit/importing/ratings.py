"""Fire ratings as documents write them, read as minutes."""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Final

from riserkit.importing.hardware import is_nothing
from riserkit.model.fire_rating import fire_rating_min

_BARE: Final = re.compile(r"\d{1,2}(?:\.\d+)?")
_PART: Final = re.compile(r"(?:[1-4][ \-])?[123]/[34]|(?:[1-4][ \-])?1/2")
"""Hours and a part of one, which nobody writes of minutes."""
_MOST_HOURS: Final = 4.0
_THIRD_OF_HOUR_MIN: Final = 20.0
NO_RATING: Final = ("n/a", "n.a.", "na", "-", "--", "–", "—")
"""Cells of a column of ratings that commonly, not surely, mean a door without one."""
_UNRATED: Final = re.compile(
    r"n\.?f\.?r\.?|not required|nicht erforderlich|ej|ingen|inget|nessuna?|n[ée]ant", re.IGNORECASE
)
_LISTED: Final = re.compile(
    r"(?:(?:UL|WH|FRL|FRR|fire|rated|rating|label(?:led)?|WBDBO)\b[\s:,]*(?:-\s+)?|class\s+|[A-D](?:[\s\-]*label)?[\s\-(]+(?=[\d½¼¾]))",
    re.IGNORECASE,
)
"""Before a rating: the office's words for one, and the class of a label, which its hours or minutes follow."""
_BEHIND: Final = re.compile(
    r"[\s,(\-/]*(?:w/|with|and|&|\+)?\s*(?:[\"']?S[\"']?|smoke(?: seals?| control)?|UL|WH|WBDBO|fire|rated|label(?:led)?|door)[)\s]*$",
    re.IGNORECASE,
)
"""Behind one: that it is of a label, and that the door keeps smoke too."""
_LEVELS: Final = re.compile(r"(?P<a>\d{2,3}|-)/(?P<b>\d{2,3})/(?P<c>\d{2,3}|-)")
"""Minutes of structural adequacy, integrity and insulation, as the Australian and New Zealand code writes them; a door keeps
fire back for the second (from memory)."""
_STEPS: Final = r"(?:10|15|20|30|45|60|90|120|180|240)(?!\d)"
"""Minutes of the classes, so that `EI 120` is no EI1 of 20 and `EI230` none of 230."""
_CLASS: Final = re.compile(
    rf"(?:R?EI|EW|FD|RF|E|T)(?:[\s\-]*({_STEPS})|(?<=I)[\s\-]?[12][\s\-]*({_STEPS}))(?:-[12](?!\d))?(?:[\s\-/]*(?:S\s?[am]?|C\s?\d?|RS))*",
    re.IGNORECASE,
)
"""A European class of doors, and the older ones of single countries: letters, minutes, and what the door does beside (EN 13501-2)."""
_WALL_CLASS: Final = re.compile(r"F[\s\-]?(\d{2,3})(?:[\s\-]?[AB]{1,2})?", re.IGNORECASE)
_CF: Final = re.compile(r"^(?:CF|PF|coupe[ \-]feu|pare[ \-]flammes?)[ °\-]*(?=[\d½¼¾])", re.IGNORECASE)
"""Coupe-feu, pare-flamme: hours, or a part of one, follow."""
_UNIT: Final = re.compile(r"\s*-?\s*(?P<unit>mins?|minut\w*|h|hrs?|hours?|heures?|horas?|std)\b\.?", re.IGNORECASE)


def minutes_of(text: str) -> tuple[float | None, str]:
    """Minutes of a rating, None where it is not understood; and what was inferred, empty for nothing.

    Examples:
        >>> minutes_of("90 min"), minutes_of("20 MIN."), minutes_of("0.33 h"), minutes_of("B-LABEL")
        ((90.0, ''), (20.0, ''), (20.0, ''), (None, ''))
        >>> minutes_of("1.5"), minutes_of("-")
        ((90.0, "'1.5' is read as hours"), (0.0, "'-' is read as not fire-rated"))
        >>> [minutes_of(text)[0] for text in ("1½ HR", "1 1/2 hrs", "C - 3/4 HR", "UL 3 HR", "60 MIN W/ S LABEL", "20-MIN")]
        [90.0, 90.0, 45.0, 180.0, 60.0, 20.0]
        >>> [minutes_of(text)[0] for text in ("EI 60", "EI2 30-C5", "EI₂30", "REI 120", "EW60", "FD30S", "T30-RS", "CF 1/2h")]
        [60.0, 30.0, 30.0, 120.0, 60.0, 30.0, 30.0, 30.0]
        >>> minutes_of("-/60/30"), minutes_of("60/-/-"), minutes_of("R60")
        ((60.0, "'-/60/30' is read as 60 min of integrity"), (None, ''), (None, ''))
    """
    plain = _plain(text)
    if plain.casefold() in NO_RATING or (plain and not plain.strip("-/")):
        return 0.0, f"{text!r} is read as not fire-rated"
    if _UNRATED.fullmatch(plain) or (plain and is_nothing(plain)):
        return 0.0, ""
    if levels := _LEVELS.fullmatch(plain):
        return float(levels["b"]), f"{text!r} is read as {levels['b']} min of integrity"
    if named := _CLASS.fullmatch(plain) or _WALL_CLASS.fullmatch(plain):
        why = f"{text!r} is a class of walls, read as minutes" if named.re is _WALL_CLASS else ""
        return float(next(filter(None, named.groups()))), why
    return _of_numbers(text, plain)


def _of_numbers(text: str, plain: str) -> tuple[float | None, str]:
    # 1.5 in a column of ratings is hours: no door is rated to less than a quarter of an hour
    is_bare = is_bare_hours(plain) or _PART.fullmatch(plain) is not None
    try:
        minutes = fire_rating_min(f"{plain} h" if is_bare else _UNIT.sub(_in_short, plain))
    except ValueError:
        return None, ""
    if not isinstance(minutes, float) or not math.isfinite(minutes):
        return None, ""  # digits without end
    # a third of an hour is written as 0.33 h
    minutes = _THIRD_OF_HOUR_MIN if abs(minutes - _THIRD_OF_HOUR_MIN) < 1 else minutes
    return minutes, f"{text!r} is read as hours" if is_bare else ""


def is_bare_hours(text: str) -> bool:
    """Whether a rating without a unit can only be hours, as 0.75, 1.5 and 3 can.

    Examples:
        >>> [is_bare_hours(text) for text in ("1.5", "3", "0", "20", "90 min")]
        [True, True, False, False, False]
    """
    found = _BARE.fullmatch(text.strip())
    return found is not None and 0 < float(found[0]) <= _MOST_HOURS


def _plain(text: str) -> str:
    """A rating in plain signs, without what an office writes about it."""
    spelt = re.sub("(?<=\\d)(?=[½¼¾⅓])", " ", text.strip())
    plain = " ".join(unicodedata.normalize("NFKC", spelt).replace("\u2044", "/").split())
    if re.fullmatch(r"[\s\d/\-–—]+", plain):
        plain = re.sub("[–—]", "-", re.sub(r"\s*/\s*", "/", plain))
    plain = re.sub(r"(?<=\d),(?=\d)", ".", _CF.sub("", plain))
    while (found := _LISTED.match(plain)) and found.end() < len(plain):
        plain = plain[found.end() :].rstrip(")")
    while any(ch.isdigit() for ch in plain) and not _CLASS.fullmatch(plain) and (found := _BEHIND.search(plain)):
        plain = plain[: found.start()]
    return plain


def _in_short(match: re.Match[str]) -> str:
    return " min" if match["unit"].casefold().startswith("min") else " h"
