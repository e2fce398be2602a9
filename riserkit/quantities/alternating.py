"""Words that speak of alternating current, as titles of parts, names and remarks have them."""

from __future__ import annotations

import re
from typing import Final

_LOW_VOLTS: Final = 50.0
"""More than this is mains for something else at the opening, such as an operator; no lock at it is wired to mains."""
_NO: Final = r"(?<!\bno )(?<!\bnot )"
_VOLTS: Final = re.compile(
    rf"{_NO}\b(?P<after>\d+(?:[.,]\d+)?)\s*-?\s*V(?:olts?)?\.?\s*(?P<both>DC ?/ ?)?(?:AC\b|A\.C\b\.?|~)"
    rf"|{_NO}\bAC (?P<before>\d+(?:[.,]\d+)?) ?V\b",
    re.IGNORECASE,
)
_DC_TOO: Final = re.compile(r"\s*/\s*v?d\.?c", re.IGNORECASE)
_FED: Final = re.compile(
    rf"{_NO}\bAC(?:[ -](?:bell|door|low[- ]voltage))?[ -](?:transformer|strike|magnet|coil|buzzer|bell|supply|power|powered|fed|current)\b"
    rf"|{_NO}\b(?:AC ?/ ?DC|DC ?/ ?AC)\b"
    rf"|\b(?i:bell transformer|alternating current|wechsel(?:strom|spannung)|klingeltrafo\w*|courant alternatif|corriente alterna)\b"
)
_ALONE: Final = re.compile(rf"{_NO}\bAC\b")


def ac_in_title(title: str) -> str:
    """The words by which a lock's own title speaks of AC, where AC alone is enough; empty where none do.

    Examples:
        >>> ac_in_title("Strike AC"), ac_in_title("Strike 12 V DC")
        ('AC', '')
    """
    found = _VOLTS.search(title) or _FED.search(title) or _ALONE.search(title)
    return found[0].strip() if found else ""


def ac_words(text: str) -> str:
    """The words by which a name or remarks speak of a lock's AC; empty where none do.

    There AC alone may be the access control, so that volts of a lock or what is fed with it must stand by it.

    Examples:
        >>> ac_words("bell, 16 VAC"), ac_words("AC by others"), ac_words("operator 120 V AC")
        ('16 VAC', '', '')
    """
    found = next((m for m in _VOLTS.finditer(text) if _volts(m) <= _LOW_VOLTS), None) or _FED.search(text)
    return found[0].strip() if found else ""


def is_ac_alone(text: str) -> bool:
    """Whether volts of AC are named, and not of DC beside it as `24 V AC/DC` has them.

    Examples:
        >>> is_ac_alone("24VAC"), is_ac_alone("24 V AC/DC"), is_ac_alone("24 V DC")
        (True, False, False)
    """
    return any(not found["both"] and not _DC_TOO.match(text, found.end()) for found in _VOLTS.finditer(text))


def _volts(found: re.Match[str]) -> float:
    return float((found["after"] or found["before"]).replace(",", "."))
