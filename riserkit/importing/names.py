"""Names as documents write them, made into ids and marks that a table takes, each alike whenever it is read again."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from typing import Final

from riserkit.model.base import MARK_MAX_CHARS

_SIGN_BETWEEN = re.compile(r"(?<=\d)[\s.,_\-/–—]+(?=\d)")
_NOT_ID = re.compile(r"[^A-Za-z0-9_.\-]+")
_NOT_MARK = re.compile(r"[^\w .\-]+")
_MARK = re.compile(r"^[^\W_](?:[\w .\-]*[\w])?$")
_ID_MAX_CHARS: Final = 40
_LEVEL_WORDS = re.compile(
    r"\b(?:(?P<word>level|floor|storey|story|etage|niveau|planta|piano)[\s_\-]*(?P<a>[0-9]{1,2})(?![0-9])"
    r"|(?P<b>[0-9]{1,2})(?:st|nd|rd|th)?[\s_\-]*(?P<after>level|floor|storey|story|og|etage|floor\s+plan)"
    r"|(?P<name>ground|first|second|third|fourth|fifth|basement|mezzanine|roof|attic|erdgeschoss|eg|keller|ug)"
    r"(?:[\s_\-]+(?:floor|level|storey|story))?)(?![a-z])",
    re.IGNORECASE,
)  # fmt: skip
# Other languages: a word that is a level by itself, and ways to number storeys. The storey above the ground floor is 1.
_OTHER_SINGLE = re.compile(
    r"\b(rez[- ]de[- ]chauss[ée]e|rdc|sous[- ]sol|entresol|combles|dachgeschoss|obergeschoss|untergeschoss|kellergeschoss|zwischengeschoss"
    r"|planta baja|s[óo]tano|semis[óo]tano|entresuelo|entreplanta|[áa]tico|piano terra|begane grond)(?![a-z])",
    re.IGNORECASE,
)
_OTHER_NUMBERED = re.compile(
    r"\bR\s?\+\s?(?P<r>\d{1,2})(?!\d)|\b(?P<n>\d{1,2})\s?(?:\.|er|ère|re|e|è?me|º|ª|°)?\s?"
    r"(?:étage|etage|niveau|obergeschoss|og|planta|piso|piano|verdieping)(?![a-z])|\b(?:étage|piso|verdieping)\s?(?P<m>\d{1,2})(?!\d)",
    re.IGNORECASE,
)
_GROUND = re.compile(
    r"eg|erdgeschoss|rdc|rez[- ]de[- ]chauss[ée]e|planta baja|piano terra|ground(?: floor)?", re.IGNORECASE
)
_NUMBERED_AFTER = re.compile(
    r"(?:(?:level|lvl|floor|storey|story|obergeschoss|og|planta|niveau|etage)[ .]?|l)?(\d{1,2})", re.IGNORECASE
)
_ORDINALS: Final = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_ORDINAL = re.compile(
    rf"(?:(?P<n>\d{{1,2}}) ?(?:st|nd|rd|th)|(?P<word>{'|'.join(_ORDINALS)}))(?: (?:floor|level|storey|story))?",
    re.IGNORECASE,
)
_LETTER = re.compile(r"(?:^|[\s_\-])(?:L|EG|OG|FL)[\s_\-]?(?P<n>[0-9]{1,2})(?:$|[\s_\-.])", re.IGNORECASE)


_MINUS = re.compile(r"(?:^|(?<=\s))[-−–](?=\d)")
"""Before the number of a storey below the ground floor, as in `-1` and `Level -2`; `level-2` and `level - 2` are storey 2."""
_LEVEL_OF_NUMBER = r"(?:level|lvl|floor|storey|story|niveau|[ée]tage|planta|piso|nivel|piano|ebene)"
_BELOW = re.compile(rf"\b{_LEVEL_OF_NUMBER}\s+[-−–](?P<n>\d{{1,2}})(?!\d)", re.IGNORECASE)
_BELOW_ALONE = re.compile(rf"(?:{_LEVEL_OF_NUMBER}\s+|r\s?)?[-−–]\s?(?P<n>\d{{1,2}})", re.IGNORECASE)
_R_MINUS = re.compile(r"(?<=\br)\s?[-−–]\s?(?=\d)", re.IGNORECASE)


def folded_name(text: str) -> str:
    """Text to compare names by: no case, no spaces, hyphens, dots or underscores.

    Examples:
        >>> folded_name("S-2.1 a") == folded_name("s21A")
        True
    """
    return "".join(ch for ch in unicodedata.normalize("NFKC", text).casefold() if ch.isalnum())


def folded_level(text: str) -> str:
    """A level's name to compare by: as `folded_name`, but a storey below the ground is not the one above it.

    Examples:
        >>> folded_level("Level 1") == folded_level("level-1"), folded_level("Level 1") == folded_level("Level -1")
        (True, False)
        >>> folded_level("R+1") == folded_level("R-1"), folded_level("1") == folded_level("-1")
        (False, False)
    """
    plain = " ".join(text.replace("_", " ").split())
    return folded_name(_R_MINUS.sub(" minus ", _MINUS.sub("minus ", plain)))


def folded_mark(text: str) -> str:
    """A door's mark to compare by: as `folded_name`, but a sign between digits counts, whichever it is.

    Examples:
        >>> folded_mark("D-1.11") == folded_mark("d1-11"), folded_mark("1.1") == folded_mark("11")
        (True, False)
    """
    plain = _SIGN_BETWEEN.sub("\uffff", unicodedata.normalize("NFKC", text).casefold())
    return "".join("-" if ch == "\uffff" else ch for ch in plain if ch.isalnum() or ch == "\uffff")


def as_id(text: str, otherwise: str) -> str:
    """An id made of a name: letters, digits, `_`, `.` and `-`.

    Examples:
        >>> as_id("Level 1 (ground)", "L")
        'Level-1-ground'
        >>> as_id("Büro 3", "R"), as_id("Level -1", "L")
        ('Buro-3', 'Level-minus-1')
    """
    # Of `R+1` and `R-1`, and of `1` and `-1`, one is above the ground floor.
    plain = (
        unicodedata.normalize("NFKD", _MINUS.sub("minus ", text.replace("+", " plus ")))
        .encode("ascii", "ignore")
        .decode()
    )
    found = _NOT_ID.sub("-", plain).strip("-_.")[:_ID_MAX_CHARS].strip("-_.")
    return found if found and found[0].isalnum() else f"{otherwise}-{found}" if found else otherwise


def as_mark(text: str) -> str:
    """A mark made of a name; empty when nothing of it can be one.

    Examples:
        >>> as_mark("101/A"), as_mark(" (12) ")
        ('101-A', '12')
    """
    found = unicodedata.normalize("NFC", " ".join(text.split()))
    found = _NOT_MARK.sub("-", found).strip(" -._") if not _MARK.match(found) else found
    found = found[:MARK_MAX_CHARS].strip(" -._")
    return found if _MARK.match(found) else ""


def unlike(wanted: str, taken: Collection[str], most: int = _ID_MAX_CHARS) -> str:
    """A name that is not taken: the one wanted, else with -2, -3 and so on behind it."""
    number, name = 1, wanted
    while name in taken:
        number += 1
        behind = f"-{number}"
        name = wanted[: most - len(behind)] + behind
    return name


def letters(count: int) -> str:
    """The name of the n-th thing of a kind in letters: A, B, ..., Z, AA, AB.

    Examples:
        >>> [letters(n) for n in (0, 1, 25, 26, 27)]
        ['A', 'B', 'Z', 'AA', 'AB']
    """
    found, count = "", count + 1
    while count:
        count, rest = divmod(count - 1, 26)
        found = chr(ord("A") + rest) + found
    return found


def level_named(text: str) -> str:
    """The level that a file's name or a title speaks of; empty when it speaks of none.

    Examples:
        >>> level_named("A-101 FIRST FLOOR PLAN"), level_named("office_level-2"), level_named("plan-house")
        ('First floor', 'Level 2', '')
        >>> level_named("NIVEAU R+1"), level_named("2ème étage"), level_named("Planta baja"), level_named("1. Obergeschoss")
        ('Level 1', 'Level 2', 'Planta baja', 'Level 1')
        >>> level_named("A-101 LEVEL -1"), level_named("level_-2"), level_named("level - 2")
        ('Level -1', 'Level -2', 'Level 2')
    """
    text = text.replace("_", " ")
    if match := _BELOW.search(text) or _OTHER_NUMBERED.search(text):
        number = int(next(number for number in match.groups() if number))
        return f"Level {-number if match.re is _BELOW else number}"
    if match := _OTHER_SINGLE.search(text):
        return match[1].capitalize()
    if match := _LEVEL_WORDS.search(text):
        if match["name"]:
            single = match["name"].lower() in {
                "basement",
                "mezzanine",
                "roof",
                "attic",
                "erdgeschoss",
                "eg",
                "keller",
                "ug",
            }
            return match["name"].capitalize() if single else f"{match['name'].capitalize()} floor"
        return f"Level {int(match['a'] or match['b'])}"
    if match := _LETTER.search(text):
        return f"Level {int(match['n'])}"
    return ""


def storey_of(name: str) -> int | None:
    """Number of a level that is called by nothing else, in whatever language, the ground floor's being 0; None for others.

    Examples:
        >>> [storey_of(name) for name in ("EG", "Rez-de-chaussée", "R+1", "OG 1", "2ème étage", "Level 2", "Wing B, level 2")]
        [0, 0, 1, 1, 2, 2, None]
        >>> [storey_of(name) for name in ("1", "01", "L1", "L01", "Floor 1", "1st floor", "First", "L-1", "B1", "101")]
        [1, 1, 1, 1, 1, 1, 1, None, None, None]
        >>> [storey_of(name) for name in ("-1", "R-1", "Niveau -1", "Level -2")]
        [-1, -1, -1, -2]
    """
    text = " ".join(name.replace("_", " ").split())
    if is_ground(text):
        return 0
    if match := _BELOW_ALONE.fullmatch(text):
        return -int(match["n"])
    if match := _ORDINAL.fullmatch(text):
        return int(match["n"]) if match["n"] else _ORDINALS.index(match["word"].casefold()) + 1
    match = _OTHER_NUMBERED.fullmatch(text) or _NUMBERED_AFTER.fullmatch(text)
    return int(next(number for number in match.groups() if number)) if match else None


def is_ground(name: str) -> bool:
    """Whether a level is called the ground floor, in a word and not by a number."""
    return _GROUND.fullmatch(" ".join(name.replace("_", " ").split())) is not None


def is_ordinal(name: str) -> bool:
    """Whether a level is counted, as `1st floor` is: in some countries the ground floor is the first, in others it is not."""
    return _ORDINAL.fullmatch(" ".join(name.replace("_", " ").split())) is not None


def number_text(value: float, digits: int = 3) -> str:
    """A number as it stands in a cell: to the millimetre, without needless noughts."""
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
