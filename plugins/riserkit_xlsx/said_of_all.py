"""Notes that a list makes of all its doors, such as `ALL LOCKS 24 VDC FAIL SAFE U.N.O.`: asked, as no note is a row's own word."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import Final

from riserkit.importing.facts import At, DocumentNote, DoorFact, HardwareSet
from riserkit.importing.hardware import fail_mode_of, says_fs, speaks_of_hardware
from riserkit.importing.hardware_sets import HardwareSets

_ALL: Final = re.compile(
    r"\b(?:all|any|each|every|typ(?:\.|ical(?:ly)?)?|throughout|standard|u\.?\s?n\.?\s?o\.?|unless\b.{0,30}\b(?:noted|stated|shown|marked)"
    r"|alle|s[äa]mtliche|tou(?:te)?s|tod[oa]s)(?!\w)",
    re.IGNORECASE,
)
_LOCK: Final = re.compile(
    r"\b(?:e-?locks?|locks?|locksets?|locking|strikes?|maglocks?|magnets?|latch(?:es)?)\b", re.IGNORECASE
)
_FAIL: Final = re.compile(
    r"\bfail(?:s|ing)?\b.{0,12}\b(?:safe|secure|locked|unlocked)|\b(?:un)?locked on (?:loss of )?power|\bF\.?S\.?E?\b",
    re.IGNORECASE,
)
_VOLTS: Final = re.compile(r"\b\d{1,3}\s*-?\s*v(?:\b|olts?\b|\.?\s?[ad]\.?c)", re.IGNORECASE)
_FIRE: Final = re.compile(
    r"\b(?:fire|rated|rating|label(?:led)?)\b.*\b\d{2,3}\s*-?\s*min|\b\d{2,3}\s*-?\s*min\w*\b.*\b(?:fire|rated|rating|label)",
    re.IGNORECASE,
)
_ALARM: Final = re.compile(r"\bfire alarm\b|\bbrandmelde\w*|\balarme incendie\b", re.IGNORECASE)
_MOST_CHARS: Final = 160


def fields_said(words: str) -> tuple[str, ...]:
    """What words outside the rows would set of doors; empty where they say nothing of the kind.

    Examples:
        >>> fields_said("ALL LOCKS 24 VDC FAIL SAFE U.N.O."), fields_said("Strikes fail secure"), fields_said("Door list, level 2")
        (('lock', 'its voltage', 'fail_mode'), ('lock', 'fail_mode'), ())
        >>> fields_said("All doors 90 min rated"), fields_said("Card reader doors"), fields_said("All dimensions in mm")
        (('fire_rating_min',), (), ())
    """
    is_of_all = _ALL.search(words) is not None
    fail = bool(fail_mode_of(words)) or says_fs(words) or _FAIL.search(words) is not None
    is_lock, is_alarm = _LOCK.search(words) is not None, _ALARM.search(words) is not None
    has_volts, is_rated = _VOLTS.search(words) is not None, _FIRE.search(words) is not None
    device = speaks_of_hardware(words) and not is_lock
    if not (
        fail or (is_of_all and (is_lock or device or is_rated or has_volts)) or (is_lock and (has_volts or is_alarm))
    ):
        return ()
    said = (
        ("lock", is_lock), ("its voltage", has_volts), ("fail_mode", fail), ("fire_relay", is_alarm), ("fire_rating_min", is_rated),
        ("devices at the door", device and not is_alarm),
    )  # fmt: skip
    return tuple(name for name, is_said in said if is_said)


def ask_of_all(
    document: str, said: Iterable[tuple[str, str]], doors: Collection[DoorFact], sets: Sequence[HardwareSet]
) -> Iterator[DocumentNote]:
    """A question of each note that would set something, with how many doors do not state it themselves.

    Args:
        document: the list.
        said: place and words of what stands outside its rows.
        doors: its doors.
        sets: its hardware sets.
    """
    items = HardwareSets(sets)
    able = [door for door in doors if door.controlled is not False]
    for place, words in said:
        fields = fields_said(words)
        if not fields:
            continue
        lacking = [
            f"{sum(not states(door, items) for door in able)} of {len(able)} doors state no {field.removeprefix('its ')}"
            for field, states in _STATES.items()
            if field in fields and able
        ]
        told = f" ({', '.join(lacking)})" if lacking else ""
        short = words if len(words) <= _MOST_CHARS else f"{words[:_MOST_CHARS]}..."
        yield DocumentNote(
            "question", At(document, place), f"{short!r} stands outside the rows and sets nothing; it speaks of {', '.join(fields)}{told}",
            "state in the rows, or in openings.csv, the doors of which it is true; a row that says otherwise stays",
        )  # fmt: skip


def _words_of(door: DoorFact, sets: HardwareSets) -> str:
    own = [text for heading, text in door.hardware for text in (heading, text)]
    named = dict.fromkeys([door.hardware_set, *(text for _, text in door.hardware)])
    return " ; ".join([*own, *(text for name in named for _, text in sets.items(name))])


def _has_fail_mode(door: DoorFact, sets: HardwareSets) -> bool:
    return "fail_mode" in door.stated or bool(fail_mode_of(_words_of(door, sets)))


def _has_volts(door: DoorFact, sets: HardwareSets) -> bool:
    return _VOLTS.search(_words_of(door, sets)) is not None


def _has_rating(door: DoorFact, _sets: HardwareSets) -> bool:
    return bool(door.fire_rating)


_STATES: Final[Mapping[str, Callable[[DoorFact, HardwareSets], bool]]] = {
    "its voltage": _has_volts, "fail_mode": _has_fail_mode, "fire_rating_min": _has_rating,
}  # fmt: skip
