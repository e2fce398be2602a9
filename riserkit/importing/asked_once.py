"""Questions that many doors raise, each kind asked once with the doors named: nobody answers the same thing a hundred times."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from riserkit.importing.facts import DocumentNote
from riserkit.quantities.grouping import grouped
from riserkit.quantities.natural_order import runs

_UNNAMED: Final = "without mark"
_MOST_NAMES: Final = 20


def asked_once(notes: Iterable[DocumentNote]) -> tuple[DocumentNote, ...]:
    """The notes, those that ask the same of several doors as one, where the first of them stood.

    Examples:
        >>> from riserkit.importing.facts import At
        >>> asked = [DocumentNote("question", At("a.xlsx"), t, asks="height_m of a.xlsx is taken", door=d)
        ...          for d, t in (("1", "2.1, not 2.0"), ("2", "2.1, not 2.0"), ("3", "2.1, not 2.0"), ("7", "2.2, not 2.1"))]
        >>> asked_once(asked)[0].text
        '4 doors: height_m of a.xlsx is taken: 2.1, not 2.0 (1 to 3); 2.2, not 2.1 (7)'
    """
    found: dict[object, list[DocumentNote]] = {}
    for n, note in enumerate(notes):
        key = (note.severity, note.asks, note.remedy, note.at.document) if note.asks else n
        found.setdefault(key, []).append(note)
    return tuple(_one(alike) if alike[0].asks else alike[0] for alike in found.values())


def _one(alike: Sequence[DocumentNote]) -> DocumentNote:
    by_text = grouped((note.text, note.door or _UNNAMED) for note in alike)
    doors = sum(map(len, by_text.values()))
    if doors == 1:
        return replace(alike[0], text=f"door {alike[0].door or _UNNAMED}: {alike[0].asks}: {alike[0].text}", asks="")
    largest = sorted(by_text.items(), key=lambda item: -len(item[1]))
    told = "; ".join(f"{text} ({_names(names)})" for text, names in largest)
    return replace(alike[0], text=f"{doors} doors: {alike[0].asks}: {told}", asks="", door="")


def _names(names: Sequence[str]) -> str:
    short = runs(list(dict.fromkeys(names)))
    return ", ".join(short[:_MOST_NAMES]) + (", ..." if len(short) > _MOST_NAMES else "")
