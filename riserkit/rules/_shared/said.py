"""Words that rules read in names and remarks of openings; all are common practice, no source.

What one rule takes up is not told once more by `remarks-not-shown`, which has them all in `READ`.
"""

from __future__ import annotations

import re
from typing import Final

from riserkit.model.opening import Opening
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
    r"[^;.,]*\b(\d{2,3})[ -]?min(?:utes?)?\b[^;.,]*\b(?:rat(?:ed|ing)|label|plate)\b[^;.,]*", re.IGNORECASE
)
"""A fire rating in words, as on a door's plate."""
FRAMELESS: Final = re.compile(
    r"[^;.,]*(?:\b(?:frameless|all[- ]glass|sans cadre|tout[- ]verre|sin marco|(?:rahmenlos|ganzglas)\w*)\b"
    r"|\b(?:no|without(?: an?)?) (?:door )?(?:frame|header|transom)\b(?=\s*(?:$|[;,.)]|(?:here|above|over|at)\b)))[^;.,]*",
    re.IGNORECASE,
)
"""A door without the frame that locks and contacts are usually fixed to."""

READ: Final = (DELAYED, FIRE_ALARM, INTERLOCKED, COLD_OR_HOT, NOT_CLOSING, FIRE_RATED, FRAMELESS)
"""Words that a rule takes up, and asks about where the columns say otherwise."""


def is_read(text: str) -> bool:
    """Whether a rule takes these words up."""
    return any(words.search(text) for words in READ) or bool(ac_words(text))


def said_at(opening: Opening, words: re.Pattern[str]) -> tuple[str, str]:
    """Where an opening says it, with its verb, and the words; its name first. Both empty where it does not.

    Examples:
        `("Its remarks say", "all-glass")`
    """
    for where, text in (("Its name says", opening.name), ("Its remarks say", opening.remarks)):
        if found := words.search(text):
            return where, found[0].strip()
    return "", ""
