"""Cells of hardware as items of hardware: what a heading says of them, and what other columns say of the lock."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from riserkit.importing.hardware import (
    fail_mode_of,
    is_nothing,
    is_yes,
    names_a_lock,
    parted,
    says_fs,
    speaks_of_hardware,
)
from riserkit.model.choices import folded
from riserkit.model.tables import choices_of

Item = tuple[str, str]
"""Heading and words."""

_PLAIN: Final = {
    "hardware:lock": "lock", "hardware:contact": "door contact", "hardware:rex": "REX", "hardware:reader": "card reader",
    "hardware:controller": "controller", "hardware:release": "manual release",
}  # fmt: skip
"""What a column holds whose heading says it in a word that means it only there, such as `Contact`."""
_BOTH: Final = re.compile(r"\s+\+\s+")
"""Between two devices that one cell of a column has."""
_BOTH_SIDES: Final = re.compile(
    r"in\s*(?:[/+&]|and)\s*out|entry\s*(?:[/+&]|and)\s*exit|both(?: sides)?|each side|two|\(?2\)?|2 ?(?:no|ea|x)\.?"
    r"|beidseitig|innen \+ au(?:ß|ss)en"
    r"|les deux|entr[ée]e\s*[/+&]\s*sortie|ambos(?: lados)?|entrada\s*[/+&y]\s*salida",
    re.IGNORECASE,
)
"""Of readers, that there is one on each side."""
_COUNT: Final = re.compile(r"\(?([12])\)?")
_BARE: Final = {"safe": "fail-safe", "unlocked": "fail-safe", "secure": "fail-secure", "locked": "fail-secure",
                "offen": "fail-safe", "entriegelt": "fail-safe", "verriegelt": "fail-secure", "geschlossen": "fail-secure"}  # fmt: skip
_VOLTS: Final = re.compile(r"\b(12|24|48)\s*-?\s*v?", re.IGNORECASE)
_ANY_VOLTS: Final = re.compile(r"\b(\d{1,3}(?:\.\d+)?)\s*-?\s*v", re.IGNORECASE)
_BOTH_VOLTS: Final = re.compile(r"\b12\s*v?\s*(?:/|or|and|-|&)\s*24(?!\d)", re.IGNORECASE)
_AC: Final = re.compile(r"(?<![A-Z])(?:\d\s*v?\s*)?a\.?c\b\.?(?!\s*/\s*d\.?c)", re.IGNORECASE)


def items_of(meaning: str, heading: str, text: str) -> list[Item]:
    """The devices that a cell of a column of hardware names; a number of them is a tick.

    Examples:
        >>> items_of("hardware:rex", "REX", "Motion + PB"), items_of("hardware:contact", "Contact", "(2)")
        ([('REX', 'Motion'), ('REX', 'PB')], [('Contact, door contact', 'yes')])
        >>> items_of("hardware:reader", "Card reader", "In/Out")
        [('Card reader', 'card reader'), ('Card reader', 'card reader out')]
    """
    known = speaks_of_hardware(heading) or speaks_of_hardware(text)
    said = heading if known or meaning not in _PLAIN else f"{heading}, {_PLAIN[meaning]}"
    if meaning == "hardware:reader" and _BOTH_SIDES.fullmatch(text.strip()):
        return [(said, "card reader"), (said, "card reader out")]
    if meaning in _PLAIN and _COUNT.fullmatch(text.strip()):
        return [(said, "yes")]
    return [(said, item) for item in _BOTH.split(text)]


def voltage_of(text: str) -> str:
    """The voltage that a cell states, such as `24 V`; empty for none.

    Examples:
        >>> [voltage_of(text) for text in ("24", "24 VDC", "12/24VDC", "24 VAC", "12V AC/DC", "120 V", "none")]
        ['24 V', '24 V', '12/24 V', '24 VAC', '12 V', '120 V', '']
    """
    found = _ANY_VOLTS.search(text) or _VOLTS.search(text)
    if _BOTH_VOLTS.search(text):
        return "12/24 V"
    return f"{found[1]} V{'AC' if _AC.search(text) else ''}" if found else ""


def fail_mode_in_column(text: str) -> str:
    """The fail mode that a cell of a column of fail modes states; empty where it is not plain.

    Examples:
        >>> fail_mode_in_column("Secure"), fail_mode_in_column("rupture"), fail_mode_in_column("FS")
        ('fail-secure', 'fail-safe', '')
    """
    plain = folded(text)
    if says_fs(text):
        # a user's own table may say FS for fail-safe, and an office's list either
        return ""
    return choices_of("openings").get("fail_mode", {}).get(plain, "") or _BARE.get(plain, "") or fail_mode_of(text)


def of_the_lock(items: Iterable[Item], voltage: str, fail: str) -> tuple[Item, ...]:
    """The items, those of a lock with the voltage and the fail mode that columns of their own give."""
    return tuple(_with(heading, device, voltage, fail) for heading, text in items for device in parted(text))


def _with(heading: str, text: str, voltage: str, fail: str) -> Item:
    if is_nothing(text) or not names_a_lock(heading, text):
        return heading, text
    more = ", ".join(filter(None, ("" if _VOLTS.search(text) else voltage, "" if fail_mode_of(text) else fail)))
    said = heading if is_yes(text) and more else text
    return heading, f"{said}, {more}" if more else text
