"""Rows below the headings that are no door, or none any more: totals, page numbers, doors that words say are deleted."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from riserkit_xlsx.blocks import ListBlock
from riserkit_xlsx.grid import Grid

_TOTAL: Final = re.compile(
    r"(?:grand |sub[- ]?)?totals?\b.*|sum\b.*|count\b.*|number of doors.*|(?:zwischen|gesamt)?summe.*|gesamt\b.*"
    r"|(?:sous-|sub)?totale?\b.*|suma\b.*|summa\b.*",
    re.IGNORECASE,
)
_PAGE: Final = re.compile(
    r"(?:page|pg\.?|sheet|seite|p[áa]gina|hoja|feuille)\s*\d+(?:\s*(?:of|/|von|sur|de)\s*\d+)?|\d+\s+of\s+\d+"
    r"|\(?(?:continued|cont(?:'d|d|\.)?)(?: (?:on|from)\b.*)?\)?",
    re.IGNORECASE,
)
_NOTES: Final = re.compile(
    r"\W*(?:(?:general|door|sheet|schedule|hardware)\s+)?(?:notes?|legend|key|abbreviations?|remarks?|hinweise|anmerkungen|bemerkungen"
    r"|legende|remarques?|l[ée]gende|notas|observaciones|leyenda)\b\W*",
    re.IGNORECASE,
)
_OF_OTHERS: Final = re.compile(
    r"(?:[\w.&]+ ){0,2}(?:windows?|frames?|finish(?:es)?|glazing|glass|louv(?:er|re)s?|fenster\w*|zargen\w*|fen[êe]tres?|ventanas?)"
    r"(?: (?:and|&) \w+)?(?: (?:schedule|types?|list|legend|elevations?|liste|typen|key))+",
    re.IGNORECASE,
)
_OF_DOORS: Final = re.compile(r"\b(?:doors?|openings?|t[üu]r\w*|portes?|puertas?)\b", re.IGNORECASE)
_LONE_NOTE: Final = re.compile(
    r"\W*(?:(?:general|door|hardware) )?(?:notes?|nota(?: bene)?|n\.?b\.?|hinweis|anm(?:erkung)?|remarque)\b\.?\s*\d*\s*[:.\-–]\s+\S.*",
    re.IGNORECASE,
)
_GONE: Final = (
    r"(?:deleted?|void(?:ed)?|not used|unused|omit(?:ted)?|removed|cancel(?:l?ed)?|superseded|demolish(?:ed)?|n\.?i\.?c\.?"
    r"|not in contract|entf[äa]llt|gestrichen|supprim[ée]e?|eliminad[oa]|anulad[oa])"
)
_MOST_OF_A_NOTE: Final = 2
_GONE_CELL: Final = re.compile(
    rf"\(?(?:(?:this )?(?:door|opening)(?: no\.?)?(?: (?:is|was|has been))? )?{_GONE}\)?"
    r"[.!*]*(?:\s*(?:[-–:,]|\(|in|by|per|as per|under|see)\s*[^;]{0,40})?",
    re.IGNORECASE,
)
_GONE_MARK: Final = re.compile(rf".*\d\w*\s*[-–(\[*]*\s*{_GONE}\s*[)\]*]*", re.IGNORECASE)


def is_total(texts: Sequence[str]) -> bool:
    """Whether a row counts or sums up those above it."""
    return bool(texts) and _TOTAL.fullmatch(texts[0]) is not None


def is_page_number(texts: Sequence[str]) -> bool:
    """Whether a row only says which page it is on.

    Examples:
        >>> [is_page_number([text]) for text in ("Page 1 of 2", "(continued)", "Ground floor")]
        [True, True, False]
    """
    return len(texts) == 1 and _PAGE.fullmatch(texts[0].strip("-– ")) is not None


def heads_notes(texts: Sequence[str]) -> bool:
    """Whether a row begins notes below the doors: it says so, and perhaps the first of them.

    Examples:
        >>> heads_notes(["NOTES:", "1. All readers in brass"]), heads_notes(["Key"]), heads_notes(["101", "Notes"])
        (True, True, False)
    """
    return 0 < len(texts) <= _MOST_OF_A_NOTE and _NOTES.fullmatch(texts[0]) is not None


def is_of_others(texts: Sequence[str]) -> bool:
    """Whether a row heads a table of something else, such as windows or types of frames.

    Examples:
        >>> [is_of_others([text]) for text in ("WINDOW SCHEDULE", "Frame types", "DOOR FRAME SCHEDULE", "Window wing")]
        [True, True, False, False]
    """
    return len(texts) == 1 and _OF_OTHERS.fullmatch(texts[0].strip()) is not None and not heads_doors(texts)


def heads_doors(texts: Sequence[str]) -> bool:
    """Whether a row of one text speaks of doors."""
    return len(texts) == 1 and _OF_DOORS.search(texts[0]) is not None


def is_lone_note(texts: Sequence[str]) -> bool:
    """Whether a row is one note, which is of no door and heads none.

    Examples:
        >>> is_lone_note(["NOTE: all frames welded"]), is_lone_note(["Notes"]), is_lone_note(["NB-101"])
        (True, False, False)
    """
    return len(texts) == 1 and _LONE_NOTE.fullmatch(texts[0]) is not None


def is_note(texts: Sequence[str]) -> bool:
    """Whether a row below such a one says no more than a note does: its number and its words."""
    return len(texts) <= _MOST_OF_A_NOTE


def is_deleted(texts: Sequence[str]) -> bool:
    """Whether a row says only that it is not used, or that of a mark.

    Examples:
        >>> is_deleted(["NOT USED"]), is_deleted(["103 (DELETED)"]), is_deleted(["103 (DELETED)", "Office"])
        (True, True, False)
    """
    return len(texts) == 1 and any(words.fullmatch(texts[0]) for words in (_GONE_CELL, _GONE_MARK))


def says_deleted(grid: Grid, block: ListBlock, row: int) -> str:
    """The words of a row by which its door is deleted; empty where it says nothing of the kind.

    Examples:
        >>> [bool(_GONE_CELL.fullmatch(text)) for text in ("DELETED", "Door removed in addendum 2", "Remove existing door")]
        [True, True, False]
        >>> [bool(_GONE_MARK.fullmatch(text)) for text in ("205 (DELETED)", "205", "NIC-1")]
        [True, False, False]
    """
    mark = block.column("mark")
    if is_deleted([text for text in grid.rows[row] if text]):
        return ""
    for column, text in enumerate(grid.rows[row]):
        # what is omitted in a column of glass or of closers is that, and not the door
        is_of_the_door = column == mark or block.meanings.get(column) in ("remarks", "name", "kind")
        is_of_the_door = is_of_the_door or _is_of_status(block.headings.get(column, ""))
        if text and is_of_the_door and _GONE_CELL.fullmatch(text):
            return text
    return grid.get(row, mark) if mark is not None and _GONE_MARK.fullmatch(grid.get(row, mark)) else ""


def _is_of_status(heading: str) -> bool:
    return re.search(r"\b(?:status|state|phase|action|scope|change)\b", heading, re.IGNORECASE) is not None
