"""Words that rules read in names and remarks of openings; all are common practice, no source.

What one rule takes up is not told once more by `remarks-not-shown`, which has them all in `READ`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Final

from riserkit.model.opening import EgressRole, Opening
from riserkit.model.parts import Lock, Part
from riserkit.quantities.alternating import ac_words

DELAYED: Final = re.compile(
    r"[^;.,]*\b(?:delayed (?:egress|exit)|egress delay|fluchtt(?:ü|ue)rverz\w+|sortie (?:retardée|temporisée)|salida retardada)\b"
    r"[^;.,]*",
    re.IGNORECASE,
)
FIRE_ALARM: Final = re.compile(
    r"[^;.,]*\b(?:fire alarm|fire release|release (?:up)?on alarm|brandmelde\w*|alarme incendie|asservi\w*|alarma de incendios?)\b[^;.,]*",
    re.IGNORECASE,
)
INTERLOCKED: Final = re.compile(r"\binterlock\w*\b", re.IGNORECASE)
COLD_OR_HOT: Final = re.compile(
    r"\b(?:cold (?:store|storage|room)|freezers?|deep[- ]?freeze|cool(?:er|room)|refrigerat\w+|chill(?:er|ed) (?:room|store)"
    r"|boiler (?:room|house)|kiln|foundry|sauna|unheated|not heated|(?:tief)?kühl(?:raum|haus|lager|zelle)\w*|unbeheizt\w*"
    r"|chambres? froides?|non chauff\w+|cámara (?:fría|frigorífica))\b"
    r"|[-−–]\d+(?:[.,]\d+)?\s?(?:°|deg\.?)?\s?[CF]\b|\b\d+(?:[.,]\d+)?\s?(?:°|deg\.?)\s?[CF]\b",
    re.IGNORECASE,
)
"""A space that is colder or hotter than a room, or a temperature."""
NOT_CLOSING: Final = re.compile(
    r"[^;.,]*\b(?:closer \w*\s?(?:removed|missing|broken|disconnected)|(?:no|without(?: a)?) (?:door |self[- ])?closer"
    r"|held open|hold[- ]open|wedged open)\b[^;.,]*",
    re.IGNORECASE,
)
"""A door that does not close by itself."""
FIRE_RATED: Final = re.compile(
    r"[^;.,]*(?<![\d/-])(?P<min>\d{2,3})[ -]?min(?:utes?)?\b[^;.,]*\b(?:rat(?:ed|ing)|label|plate)\b[^;.,]*"
    r"|[^;.,]*(?<![\d/.-])(?<!\d )(?P<hours>\d/\d|\d(?:[- ]\d/\d|\.\d+)?)[ -]?(?:h|hrs?|hours?)\b"
    r"[^;.,]*\b(?:fire|rat(?:ed|ing)|label|plate)\b[^;.,]*"
    r"|\b(?:FD|T|R?E[IW]{1,2}\d?)[ -]?(?P<class>15|20|30|45|60|90|120|180|240)(?:-?S[am]?|-C\d?|-RS)?\b"
    r"|\b(?<!not a )(?<!no )(?:fire[- ](?:rated )?doors?|brandschutzt(?:ür|or)\w*|portes? coupe[- ]feu|puertas? cortafuegos?)\b",
    re.IGNORECASE,
)
"""A fire rating in words, as on a door's plate or in its name; in the last form without a figure."""
HELD_UNLOCKED: Final = re.compile(
    r"[^;.,]*\b(?:dogg(?:ed|ing)|held (?:unlocked|retracted|released)|latch(?:bolt)? (?:held )?retracted"
    r"|(?:unlocked|released|free) (?:by|on|to) (?:a |the )?(?:time )?(?:schedules?|timers?|clocks?)|time schedules?|timezones?"
    r"|(?:unlocked|free) (?:during|from|between|all day|by day|in)\b|(?:office|business|opening|school|visiting|daytime) hours)\b"
    r"[^;.,]*",
    re.IGNORECASE,
)
"""A door that stays unlocked for hours."""
FRAMELESS: Final = re.compile(
    r"[^;.,]*(?:\b(?:frameless|all[- ]glass|sans cadre|tout[- ]verre|sin marco|(?:rahmenlos|ganzglas)\w*)\b"
    r"|\b(?:no|without(?: an?)?) (?:door )?(?:frame|header|transom)\b(?=\s*(?:$|[;,.)]|(?:here|above|over|at)\b)))[^;.,]*",
    re.IGNORECASE,
)
"""A door without the frame that locks and contacts are usually fixed to."""
NOT_SWINGING: Final = re.compile(
    r"\b(?:turnstiles?|revolving (?:door|gate)s?|sliding (?:door|gate|leaf|leaves|panel|glass)s?"
    r"|(?:roll(?:ing|er|[- ]?(?:up|down)) )?shutters?|roll(?:ing|er|[- ]?(?:up|down))[- ]doors?|overhead doors?|sectional doors?"
    r"|folding doors?|bi-?folds?|drehkreuz\w*|drehtür|schiebet(?:ür|or)\w*|roll(?:tor|gitter)\w*|portes? coulissantes?|tourniquets?"
    r"|puertas? correderas?|torniquetes?)\b",
    re.IGNORECASE,
)
"""A leaf that does not swing. A speed gate is a turnstile to whoever leaves, and has many names."""
SECOND_LOCK: Final = re.compile(
    r"[^;.,]*\b(?<!no )(?:dead ?bolts?|dead ?locks?|double[- ]cylinder|padlock(?:s|ed)?|chained|door chains?|hasps?"
    r"|(?:slide|barrel|surface) bolts?"
    r"|cross ?bars?|riegelschloss|vorhängeschloss|cadenas|verrou|candados?|cerrojos?)\b[^;.,]*",
    re.IGNORECASE,
)
"""A second lock or bolt, which nothing here releases."""
OUTDOORS: Final = re.compile(
    r"\b(?:outdoors?|outside|exterior|yard|street|road|forecourt|parking|car park|garden|public way|sidewalk|pavement|ext|alley"
    r"|driveway|quay|wharf|hof|garten|außen\w*|straße|rue|cour|jardin|calle|jardín)\b",
    re.IGNORECASE,
)
"""Places under the sky that people leave by."""
EXIT: Final = re.compile(
    r"\b(?<!no )(?<!not an )(?<!former )(?:emergency (?:exit|door)s?|fire exits?"
    r"|exit (?:sign|stair|door)s?|(?:escape|egress) (?:door|route|stair)s?"
    r"|means of egress|way out|not(?:ausgang|ausgänge)|flucht(?:weg|tür)\w*|issues? de secours|sorties? de secours"
    r"|salidas? de emergencia)\b",
    re.IGNORECASE,
)
"""A door that people are told to leave by."""
BOTH_WAYS: Final = re.compile(
    r"[^;.,]*\b(?:(?:egress|exit|escape|leave)\w*\b[^;.,]*\b(?:both|either) (?:directions?|ways?|sides?)"
    r"|(?:both|either) (?:directions?|ways?|sides?)\b[^;.,]*\b(?:egress|exit|escape)\w*|two[- ]way egress)\b[^;.,]*",
    re.IGNORECASE,
)
"""People leave through it from either side."""
CROWD: Final = re.compile(
    r"\b(?:assembly (?:hall|room|space|area|occupancy|use)s?|(?:public|place of) assembly|auditorium|lecture (?:hall|theat(?:re|er))"
    r"|theat(?:re|er)|ballroom|banquet\w*|gymnasium|place of worship"
    r"|group (?:A|E|H)(?:-?\d)?|occupant load(?: of)? (?:[5-9]\d|\d{3,})"
    r"|(?:[5-9]\d|\d{3,}) (?:people|persons|occupants|seats|pupils|students))\b",
    re.IGNORECASE,
)
"""A room of many people, or of hazards: panic hardware may be asked for. From 50 people on (IBC 1010.2.9, from memory)."""
GROUP_H: Final = re.compile(r"\bgroup H(?:-?\d)?\b|\bhigh[- ]hazard\b", re.IGNORECASE)
"""An occupancy of hazards, in which the code permits neither sensor nor door-hardware release."""
STAYS_LOCKED: Final = re.compile(
    r"[^;.,]*\b(?<!not )(?:(?:stays?|remains?|kept|be) (?:locked|secured?)\b[^;.,]*\b(?:power|outage|blackout|mains)"
    r"|(?:locked|secured?) (?:on|upon|in|at|during|without) (?:any )?(?:power|loss of power|(?:an )?outage|blackout)"
    r"|fail[- ](?:secure|locked)|stromlos verriegelt)\b[^;.,]*",
    re.IGNORECASE,
)
"""A door that has to stay locked without power."""
NO_HINGES: Final = re.compile(
    rf"{NOT_SWINGING.pattern}|\b(?:tripods?|sliders?|(?:lorry|boom|vehicle|parking) barriers?|portals?|schranken?|persianas?)\b",
    re.IGNORECASE,
)
"""An opening without a leaf on hinges, ways in that nobody leaves by among them."""

READ: Final = (DELAYED, FIRE_ALARM, INTERLOCKED, COLD_OR_HOT, NOT_CLOSING, FIRE_RATED, FRAMELESS, STAYS_LOCKED)
"""Words that a rule takes up, and asks about where the columns say otherwise."""


_LETS_GO_WHILE_UNLOCKED: Final = frozenset({"strike", "electrified-exit-device"})
"""A latch in the leaf frees its lever, and its bolt stays out."""
_READ_ON_EXITS: Final = (SECOND_LOCK, BOTH_WAYS, CROWD)
"""Taken up of openings that people leave by."""


def held_unlocked(opening: Opening, lock: Part | None) -> tuple[str, str]:
    """Where a fire-rated opening whose latch or strike lets go while it is unlocked says that it stays so, and the words."""
    lets_go = isinstance(lock, Lock) and lock.kind in _LETS_GO_WHILE_UNLOCKED
    return said_at(opening, HELD_UNLOCKED) if opening.fire_rating_min and lets_go else ("", "")


def is_read(text: str, opening: Opening, lock: Part | None) -> bool:
    """Whether a rule takes these words up, said of this opening with this lock."""
    patterns = (
        *READ,
        *(_READ_ON_EXITS if is_exit(opening) else (EXIT,)),
        *((HELD_UNLOCKED,) if held_unlocked(opening, lock)[1] else ()),
    )
    return any(words.search(text) for words in patterns) or bool(ac_words(text))


def is_exit(opening: Opening) -> bool:
    """People leave by it, as its egress role states."""
    return opening.egress not in (None, EgressRole.NONE)


def is_of_a_door(lock: Lock) -> bool:
    """A lock for a leaf on hinges, not that of a turnstile, a shutter or the like: at a door no remedy names one of those."""
    return lock.in_leaf is not False and not NO_HINGES.search(lock.title)


def rating_said(opening: Opening) -> tuple[str, str, float | None]:
    """Where an opening speaks of its fire rating, the words, and the minutes, None where they have none; empty where it does not.

    Examples:
        `("Its name says", "FD60", 60.0)`
    """
    for where, text in (("Its name says", opening.name), ("Its remarks say", opening.remarks)):
        if said := FIRE_RATED.search(text):
            minutes = said["min"] or said["class"]
            if said["hours"]:
                whole, _, part = said["hours"].replace(" ", "-").rpartition("-")
                return where, said[0].strip(), 60 * float(int(whole or 0) + Fraction(part))
            return where, said[0].strip(), float(minutes) if minutes else None
    return "", "", None


def said_at(opening: Opening, words: re.Pattern[str]) -> tuple[str, str]:
    """Where an opening says it, with its verb, and the words; its name first. Both empty where it does not.

    Examples:
        `("Its remarks say", "all-glass")`
    """

    def found(text: str) -> str:
        said = words.search(text)
        return said[0].strip() if said else ""

    return said_by(opening, found)


def said_by(opening: Opening, words_of: Callable[[str], str]) -> tuple[str, str]:
    """As `said_at`, of words that `words_of` finds in a text; empty where it finds none."""
    for where, text in (("Its name says", opening.name), ("Its remarks say", opening.remarks)):
        if words := words_of(text):
            return where, words
    return "", ""
