"""Words that say a lock is fed with alternating current."""

from __future__ import annotations

import re
from typing import Final

from riserkit.model.opening import Opening
from riserkit.model.parts import Lock

_LOW_VOLTS: Final = 50.0
"""More than this is mains for something else at the opening, such as an operator; no lock at it is wired to mains."""
_NO: Final = r"(?<!\bno )(?<!\bnot )"
_VOLTS: Final = re.compile(
    rf"{_NO}\b(?P<after>\d+(?:[.,]\d+)?)[ -]?V(?:olts?)?(?: ?DC ?/)? ?(?:AC\b|A\.C\.|~)|{_NO}\bAC (?P<before>\d+(?:[.,]\d+)?) ?V\b",
    re.IGNORECASE,
)
_FED: Final = re.compile(
    rf"{_NO}\bAC(?:[ -](?:bell|door|low[- ]voltage))?[ -](?:transformer|strike|magnet|coil|buzzer|bell|supply|power|powered|fed|current)\b"
    rf"|{_NO}\b(?:AC ?/ ?DC|DC ?/ ?AC)\b"
    rf"|\b(?i:bell transformer|alternating current|wechsel(?:strom|spannung)|klingeltrafo\w*|courant alternatif|corriente alterna)\b"
)
_ALONE: Final = re.compile(rf"{_NO}\bAC\b")


def says_ac(opening: Opening, lock: Lock) -> tuple[str, str]:
    """What speaks of AC, with its verb, and the words; both empty where it is nowhere.

    In a lock's own title AC alone is enough; in a name or in remarks it may be the access control, so that volts of a lock or
    what is fed with it must stand by it.

    Args:
        opening: its name and remarks are read.
        lock: its title is read.
    """
    if found := _VOLTS.search(lock.title) or _FED.search(lock.title) or _ALONE.search(lock.title):
        return f"The title of {lock.id} says", found[0].strip()
    for where, text in (("Its name says", opening.name), ("Its remarks say", opening.remarks)):
        if words := ac_words(text):
            return where, words
    return "", ""


def ac_words(text: str) -> str:
    """The words by which a name or remarks speak of a lock's AC; empty where none do."""
    found = next((m for m in _VOLTS.finditer(text) if _low(m)), None) or _FED.search(text)
    return found[0].strip() if found else ""


def _low(found: re.Match[str]) -> bool:
    return float((found["after"] or found["before"]).replace(",", ".")) <= _LOW_VOLTS
