"""Fire ratings as lists write them, in one of the forms that a cell of openings takes."""

from __future__ import annotations

import math
import re
from typing import Final

from riserkit.model.fire_rating import fire_rating_min

_BARE: Final = re.compile(r"\d{1,2}(?:\.\d+)?")
_MOST_HOURS: Final = 4.0
_THIRD_OF_HOUR_MIN: Final = 20.0
NO_RATING: Final = ("n/a", "n.a.", "na", "-", "--", "–", "—")
"""Cells of a column of ratings that commonly, not surely, mean a door without one."""
_ABBREVIATED: Final = re.compile(r"\b(?:mins?|hrs?)\.$", re.IGNORECASE)
_CF = re.compile(r"^(?:CF|PF)[ -]*(?=[\d½¼¾])", re.IGNORECASE)
"""Coupe-feu, pare-flamme: hours, or a part of one, follow."""


def rating(text: str) -> str:
    """A rating in one of the forms that a cell takes: `EI2 30-C`, `FD30` and `T90` are minutes of the European classes."""
    plain = _CF.sub("", text.strip())
    plain = plain.removesuffix(".") if _ABBREVIATED.search(plain) else plain
    for sign in ("EI2", "EI1", "EI", "FD", "RF", "E", "T"):
        rest = plain.removeprefix(sign).strip(" -")
        digits = "".join(ch for ch in rest.split("-")[0].strip().removesuffix("S") if ch.isdigit())
        if rest != plain and digits and rest.startswith(digits):
            return digits
    if plain.casefold() in ("no", *NO_RATING):
        return "0"
    # 1.5 in a column of ratings is hours: no door is rated to less than a quarter of an hour
    return f"{plain} h" if is_bare_hours(plain) else plain


def minutes_of(text: str) -> tuple[float | None, str]:
    """Minutes of a rating, None where it is not understood; and what was inferred, empty for nothing.

    Examples:
        >>> minutes_of("90 min"), minutes_of("20 MIN."), minutes_of("0.33 h"), minutes_of("B-LABEL")
        ((90.0, ''), (20.0, ''), (20.0, ''), (None, ''))
        >>> minutes_of("1.5"), minutes_of("-")
        ((90.0, "'1.5' is read as hours"), (0.0, "'-' is read as not fire-rated"))
    """
    plain = text.strip().casefold()
    try:
        minutes = fire_rating_min(rating(text))
    except ValueError:
        return None, ""
    if not isinstance(minutes, float) or not math.isfinite(minutes):
        return None, ""  # digits without end
    # a third of an hour is written as 0.33 h
    minutes = _THIRD_OF_HOUR_MIN if abs(minutes - _THIRD_OF_HOUR_MIN) < 1 else minutes
    said = "not fire-rated" if plain in NO_RATING else "hours" if is_bare_hours(plain) else ""
    return minutes, f"{text!r} is read as {said}" if said else ""


def is_bare_hours(text: str) -> bool:
    """Whether a rating without a unit can only be hours, as 0.75, 1.5 and 3 can.

    Examples:
        >>> [is_bare_hours(text) for text in ("1.5", "3", "0", "20", "90 min")]
        [True, True, False, False, False]
    """
    found = _BARE.fullmatch(text.strip())
    return found is not None and 0 < float(found[0]) <= _MOST_HOURS
