"""Fire ratings as lists write them, in one of the forms that a cell of openings takes."""

from __future__ import annotations

import re
from typing import Final

NO_RATING: Final = ("n/a", "n.a.", "na", "-", "--", "–", "—")
_CF = re.compile(r"^(?:CF|PF)[ -]*(?=[\d½¼¾])", re.IGNORECASE)
"""Coupe-feu, pare-flamme: hours, or a part of one, follow."""


def rating(text: str) -> str:
    """A rating in one of the forms that a cell takes: `EI2 30-C`, `FD30` and `T90` are minutes of the European classes."""
    plain = _CF.sub("", text.strip())
    for sign in ("EI2", "EI1", "EI", "FD", "RF", "E", "T"):
        rest = plain.removeprefix(sign).strip(" -")
        digits = "".join(ch for ch in rest.split("-")[0].strip().removesuffix("S") if ch.isdigit())
        if rest != plain and digits and rest.startswith(digits):
            return digits
    return "0" if plain.casefold() in ("no", *NO_RATING) else plain
