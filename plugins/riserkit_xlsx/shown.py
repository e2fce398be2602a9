"""Numbers as a sheet shows them, where that says more than the number: `D-005`, `1.10`, `36"`, `1.20 m`."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

_LITERAL: Final = r"(?:\"[^\"]*\"|\\.|[^0#?,.;%Ee@\[\]*_dmyhsDMYHS\"\\])*"
_FORMAT: Final = re.compile(rf"(?P<before>{_LITERAL})(?P<whole>[0#,]+)(?:\.(?P<part>[0#]+))?(?P<after>{_LITERAL})")
_GENERAL: Final = re.compile(rf"(?P<before>{_LITERAL})General(?P<after>{_LITERAL})", re.IGNORECASE)
_BESIDE: Final = re.compile(r"\[[^\]]*\]|_.|\*.")
_LITERAL_SIGN: Final = re.compile(r"\"([^\"]*)\"|\\(.)")
_SHOWN: Final = re.compile(
    r"(?P<before>[^\d+\-]*(?:[^\d+]*[^\d+\-.,])?-?)(?P<number>\d+(?:[.,](?P<part>\d+))?)(?P<after>\D*)"
)


def as_formatted(value: float, plain: str, number_format: str) -> str:
    r"""A number with the noughts and words that its format adds; as it is where the format rounds it or is of another kind.

    Args:
        value: the number.
        plain: it as text.
        number_format: of the cell, as a spreadsheet writes it.

    Examples:
        >>> as_formatted(5, "5", '"D-"000'), as_formatted(1.1, "1.1", "0.00"), as_formatted(8, "8", "000")
        ('D-005', '1.10', '008')
        >>> as_formatted(1.2, "1.2", '0.00" m"'), as_formatted(36, "36", '0\\"'), as_formatted(0.915, "0.915", "0.00")
        ('1.20 m', '36"', '0.915')
        >>> as_formatted(915, "915", 'General" mm"'), as_formatted(1600, "1600", "#,##0"), as_formatted(3, "3", "0.00")
        ('915 mm', '1600', '3')
    """
    shape = _shape(number_format)
    if shape is None or value < 0:
        return plain
    before, least, least_part, most_part, after = shape
    whole, _, part = plain.partition(".")
    if most_part is not None and len(part) > most_part:
        return plain
    if part or value != int(value):
        part = part.ljust(least_part, "0")
    return f"{before}{whole.zfill(least)}{'.' + part if part else ''}{after}"


@lru_cache(maxsize=512)
def _shape(number_format: str) -> tuple[str, int, int, int | None, str] | None:
    """Words before, least digits, least and most places, words behind; None for a format of another kind."""
    first = _BESIDE.sub("", number_format.partition(";")[0])
    if general := _GENERAL.fullmatch(first):
        return _words(general["before"]), 0, 0, None, _words(general["after"])
    found = _FORMAT.fullmatch(first)
    if found is None:
        return None
    part = found["part"] or ""
    least = found["whole"].count("0") if "," not in found["whole"] else 0
    return _words(found["before"]), least, part.count("0"), len(part), _words(found["after"])


def _words(text: str) -> str:
    return _LITERAL_SIGN.sub(lambda match: match[1] if match[1] is not None else match[2], text)


def as_saved(value: float, plain: str, shown: str) -> str:
    """A number as the document has saved it to be shown, where that is the number with more; else as it is.

    Examples:
        >>> as_saved(5, "5", "D-005"), as_saved(1.1, "1.1", "1.10"), as_saved(1.1, "1.1", "1,10"), as_saved(0.915, "0.915", "0.92")
        ('D-005', '1.10', '1,10', '0.915')
        >>> as_saved(1600, "1600", "1.600"), as_saved(3, "3", "3.00"), as_saved(1.2, "1.2", "1.20 m"), as_saved(0.5, "0.5", "50%")
        ('1600', '3', '1.20 m', '0.5')
    """
    found = _SHOWN.fullmatch(" ".join(shown.split()))
    if found is None or value < 0 or float(found["number"].replace(",", ".")) != value:
        return plain
    if found["part"] is not None and value == int(value):
        return f"{found['before']}{plain}{found['after']}"
    return found[0]
