"""Words of hardware, as lists and sets write them, made into what an opening states of its lock, contact and sensor.

What is named in words becomes a part only where one part alone answers to the words; else it stays words, and is asked.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from riserkit.importing.names import folded_name
from riserkit.model.parts import Lock, Part, ReleaseButton, RexSensor
from riserkit.model.tables import fields_of
from riserkit.quantities.alternating import is_ac_alone

# role -> kinds of part that fill it, and the words by which people call it; common practice, no source
_KINDS: Final[tuple[tuple[str, tuple[str, ...], str], ...]] = (
    ("release", ("release-button",), r"manual release|release button|emergency (?:door )?release|break ?glass|push ?to ?exit"),
    ("rex", ("rex-sensor",), r"request[ -]to[ -]exit|\brex\b|\brte\b|exit (?:motion )?sensor|motion (?:sensor|detector)|exit button"),
    ("contact", ("door-contact",), r"door (?:position )?(?:switch|contact)|position switch|\bdps\b|\bdpc\b"
                                   r"|mag(?:netic|\.)? (?:contact|switch)"
                                   r"|monitor(?:ing)? (?:switch|contact)|reed contact|balanced magnetic switch|\bbms\b"),
    ("lock", ("electromagnetic-lock",), r"mag(?:netic)?[ -]?lock|\bem[ -]?locks?\b|electro-?magnet(?:ic)?(?: lock)?|\beml\b"
                                        r"|holding magnet|shear ?lock|\bmag\b(?!\.? ?(?:stripe|hold|card|swipe|contact|switch|reader))"),
    ("lock", ("strike",), r"\bstrike|electric release"),
    ("lock", ("electrified-exit-device",), r"(?:electri\w+|electric) (?:latch retraction|exit|panic|rim)|latch retraction"
                                           r"|\belr\b|motori[sz]ed (?:exit|panic)"),
    ("lock", ("electrified-latch",), r"elec(?:tri\w+|\.)? (?:lever |mortise |mortice |cylindrical )?(?:lock|latch|lever|bolt)"
                                     r"|electric (?:mortise|mortice|bolt|lock)|solenoid (?:bolt|lock)"
                                   r"|(?:lock|lockset|latch|latchset|lever|bolt)s?[ ,(:\-]+electri(?:fied|c)\b"),
    ("reader_in", ("reader",), r"(?:card|prox\w*|badge|credential|access(?: control)?)[ -]?reader|^readers?\b|keypad|\bcr\b"),
    ("fire_relay", ("fire-alarm-relay",), r"fire alarm (?:relay|release|interface)"),
    ("controller", ("controller",), r"\bcontroller\b|(?:door|access) control unit"),
)  # fmt: skip
# The same in German, French and Spanish.
_OTHER_LANGUAGES: Final[tuple[tuple[str, tuple[str, ...], str], ...]] = (
    (
        "release",
        ("release-button",),
        r"nottaster|fluchtt(?:[üu]|ue)rtaster|d[ée]clencheur manuel|bo[îi]tier vert|bris de glace"
        r"|pulsador de emergencia",
    ),
    (
        "rex",
        ("rex-sensor",),
        r"bewegungsmelder|austrittstaster|ausgangstaster|bouton (?:poussoir )?de sortie"
        r"|(?:d[ée]tecteur|infrarouge|radar)\b.*\bsortie|detector de (?:salida|movimiento|presencia)"
        r"|(?:pulsador|bot[óo]n) de salida",
    ),
    (
        "contact",
        ("door-contact",),
        r"(?:t(?:[üu]|ue)r|magnet|reed)kontakt|contact (?:de porte|magn[ée]tique)"
        r"|contacto (?:magn[ée]tico|de puerta)",
    ),
    ("lock", ("electromagnetic-lock",), r"haftmagnet|ventouse|ventosa"),
    ("lock", ("strike",), r"t(?:[üu]|ue)r[öo]ffner|\be[ -]?[öo]ffner|g[âa]che|cerradero|abrepuertas|el ?slutbleck"),
    (
        "lock",
        ("electrified-latch",),
        r"motorl[åa]s|\bell[åa]s|elettroserratura|motorschloss|elektro\w*schloss|serrure [ée]lectri\w+|cerradura el[ée]ctric\w+",
    ),
    ("reader_in", ("reader",), r"(?:karten|ausweis)leser|\bleser\b|kortl[äa]sare|kaartlezer|lecteur|lector\b"),
)
_ROLES: Final = tuple(
    (role, kinds, re.compile(words, re.IGNORECASE)) for role, kinds, words in (*_KINDS, *_OTHER_LANGUAGES)
)
_VOLTS = re.compile(r"\b(12|24|48)\s*-?\s*v", re.IGNORECASE)
_BOTH_VOLTS = re.compile(r"\b12\s*(?:v(?:dc)?)?\s*(?:/|or|and|-|&)\s*24(?!\d)", re.IGNORECASE)
_ANY_VOLTS = re.compile(r"(?<![\d.])(\d{1,3}(?:\.\d+)?)\s*-?\s*(?:v\b|v\.?\s?[ad]\.?c|volts?\b)", re.IGNORECASE)
# Arbeitsstrom and à émission: current opens; Ruhestrom and à rupture: current holds (common practice, no source).
_SECURE = re.compile(
    r"arbeitsstrom|str[öo]ml[öo]st l[åa]st|r[äa]ttv[äa]nd"
    r"|stromlos (?:verriegelt|geschlossen|zu)\b|\b[ée]mission\b|fail[- ]?secure|\bfse\b|fail[- ]?locked|normally locked",
    re.IGNORECASE,
)
_SAFE = re.compile(
    r"ruhestrom|str[öo]ml[öo]st [öo]pp|omv[äa]nd"
    r"|stromlos (?:entriegelt|offen|auf)\b|\brupture\b|fail[- ]?safe|fail[- ]?unlocked|normally unlocked",
    re.IGNORECASE,
)
_FS = re.compile(r"\bf\.?s\b", re.IGNORECASE)
"""Fail-safe in one office, fail-secure in the next."""
_HEAVY = re.compile(r"heavy|\b(?:600|1200|1500)\s*(?:lb|kg)", re.IGNORECASE)
_MONITORED = re.compile(r"keeper|bolt contact|bond sensor|monitor|\blbm\b|latch contact|own contact", re.IGNORECASE)
_BUTTON = re.compile(r"button|\bpb\b|taster|bouton|pulsador|bot[óo]n", re.IGNORECASE)
_TWO = re.compile(r"(?:\(?2\)?|two|pair of)\s*(?:x|×|no\.?|ea\.?|pcs?\.?)?\s+(?=\D)", re.IGNORECASE)
_BETWEEN = re.compile(r"(\s*[;,\n]\s*|\s+[+&]\s+|\s+(?:and|und|et)\s+)", re.IGNORECASE)
_BELONGS = re.compile(r"(?:with|w/|incl|in|for|by|mit|avec|con)\b", re.IGNORECASE)
"""Before what is part of the device named before it."""
_WAY_OUT = re.compile(r"\b(?:out|exit|egress|leaving|inside|sortie|salida|austritt|ausgang|innen)\b", re.IGNORECASE)
"""Of a reader, that it is on the way out."""
_HANDLE = re.compile(
    r"\b(?:levers?|handles?|knob|(?:panic|crash|push|touch|exit)[ -]?(?:bar|pad)|bar|paddle|lockset|latch"
    r"|integral|built[ -]?in)\b",
    re.IGNORECASE,
)
"""Of a request to exit, a switch in the hardware on the door."""
_NOTHING = re.compile(
    r"(?:no?|nein|non|nej|nei|nee|keine?|ingen|inget|aucune?|ningun[oa]?|sans|ohne|sin|none|n/?a|nil|-+|–|—|not required|0)?",
    re.IGNORECASE,
)
_UNDECIDED = re.compile(
    r"t\.?b\.?[dca]\.?|\?+|to be (?:determined|decided|confirmed|advised)|open|pending", re.IGNORECASE
)
_MOST_OF_A_MODE: Final = 40
_YES = re.compile(r"(?:ja|oui|s[ií]|yes|y|x|✓|✔|1|true|required|req'?d?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Ambiguity:
    """What could be several things: of which column, and in words."""

    column: str
    words: str

    def __str__(self) -> str:
        """As it is asked."""
        return f"{self.column}: {self.words}"


@dataclass(frozen=True, slots=True)
class Understood:
    """What words of hardware say.

    Args of note:
        values: columns of openings, each with the words it was read from.
        left: what was not understood, as `Heading: words`.
        asked: what could be several things; a value that was taken all the same is among `values`.
    """

    values: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    left: tuple[str, ...] = ()
    asked: tuple[Ambiguity, ...] = ()


def is_nothing(text: str) -> bool:
    """Whether a cell says that there is none of it, such as `N/A`, `-` or `no`."""
    return _NOTHING.fullmatch(text.strip()) is not None


def is_undecided(text: str) -> bool:
    """Whether a cell says that it is not known yet, such as `TBD` or `?`."""
    return _UNDECIDED.fullmatch(text.strip()) is not None


def is_yes(text: str) -> bool:
    """Whether a cell is a tick."""
    return _YES.fullmatch(text.strip()) is not None


def speaks_of_hardware(text: str) -> bool:
    """Whether words name a lock, a contact, a sensor or another device at a door."""
    return any(words.search(text) for _, _, words in _ROLES)


def names_a_lock(heading: str, text: str) -> bool:
    """Whether words, or else their heading, are of a lock."""
    found = _meant(heading, text)
    return found is not None and found[0] == "lock"


def parted(text: str) -> tuple[str, ...]:
    """The devices that words name one after the other; what is said of one stays with it.

    Examples:
        >>> parted("Electric strike, fail secure, 12 VDC"), parted("Electric strike 12 V; card reader, DPS")
        (('Electric strike, fail secure, 12 VDC',), ('Electric strike 12 V', 'card reader', 'DPS'))
        >>> parted("Electric strike 12 V, with monitor switch"), parted("Maglock 24 V and REX")
        (('Electric strike 12 V, with monitor switch',), ('Maglock 24 V', 'REX'))
        >>> parted("Maglock, shear lock 24 V")
        ('Maglock, shear lock 24 V',)
    """
    first, *rest = _BETWEEN.split(text)
    found = [first]
    for sign, words in zip(rest[::2], rest[1::2], strict=True):
        one, other = _meant("", found[-1]), _meant("", words)
        if one and other and one[0] != other[0] and not _BELONGS.match(words):
            found.append(words)
        else:
            found[-1] += sign + words
    return tuple(found)


def _meant(heading: str, text: str) -> tuple[str, tuple[str, ...]] | None:
    """The role that words, or else their heading, name, and the kinds of part that fill it; None for none."""
    for said in (text, heading):
        found = next(((role, kinds) for role, kinds, words in _ROLES if words.search(said)), None)
        if found is not None:
            return found
    return None


def fail_mode_of(text: str) -> str:
    """What a lock does without power, in the words of several languages; empty where nothing tells, as `FS` does not.

    Examples:
        >>> [fail_mode_of(text) for text in ("fail secure", "FSE", "émission", "rupture", "Ruhestrom", "FS", "")]
        ['fail-secure', 'fail-secure', 'fail-secure', 'fail-safe', 'fail-safe', '', '']
    """
    is_secure, is_safe = _SECURE.search(text) is not None, _SAFE.search(text) is not None
    return "" if is_secure == is_safe else "fail-secure" if is_secure else "fail-safe"


def says_fs(text: str) -> bool:
    """Whether words say `FS` and nothing that tells which of the two it is."""
    return _FS.search(text) is not None and not fail_mode_of(text)


def understand(
    items: Sequence[tuple[str, str]], parts: Sequence[Part], words: Mapping[str, Mapping[str, str]]
) -> Understood:
    """Read items of hardware.

    Args:
        items: heading and words of each, such as `("Lock", "Electric strike, fail secure, 12 VDC")`.
        parts: those that may be named.
        words: what the user says under `[words]`.
    """
    values: dict[str, tuple[str, str]] = {}
    left: list[str] = []
    asked: list[Ambiguity] = []
    mapped = {folded_name(name): meaning for name, meaning in words.items()}
    for heading, text in items:
        if is_nothing(text):
            continue
        said = f"{heading} {text}" if is_yes(text) else text
        stated = mapped.get(folded_name(text)) or mapped.get(folded_name(said))
        if stated is not None:
            for column, value in stated.items():
                _put(values, asked, column, value, f"{text}, as import.toml has it")
            continue
        if is_undecided(text):
            asked.append(
                Ambiguity(
                    heading or "hardware", f"{text!r} is yet to be decided; state it in the list or in openings.csv"
                )
            )
            left.append(f"{heading}: {text}" if heading else text)
            continue
        for device in parted(said):
            if not _item(heading, device, parts, values, asked):
                words_left = text if device == said else device
                left.append(f"{heading}: {words_left}" if heading else words_left)
    return Understood(values, tuple(left), tuple(asked))


def _put(values: dict[str, tuple[str, str]], asked: list[Ambiguity], column: str, value: str, words: str) -> None:
    if column not in fields_of("openings"):
        asked.append(Ambiguity("words", f"{column} is no column of openings"))
    elif column in values and values[column][0] != value:
        asked.append(
            Ambiguity(
                column, f"{values[column][0]} from {values[column][1]!r}, {value} from {words!r}; the first is taken"
            )
        )
    else:
        values[column] = (value, words)


def _item(
    heading: str, text: str, parts: Sequence[Part], values: dict[str, tuple[str, str]], asked: list[Ambiguity]
) -> bool:
    exact = [part for part in parts if part.id == text.strip()] or [
        part for part in parts if part.title.casefold() == text.strip().casefold()
    ]
    if len(exact) == 1:
        role = next((role for role, kinds, _ in _ROLES if exact[0].kind in kinds), "")
        # `Reader` alone is the title of one, and says nothing of the side it is on
        if role and (role != "reader_in" or exact[0].id == text.strip()):
            _put(values, asked, role, exact[0].id, text)
            return True
    fail = fail_mode_of(text)
    if _SECURE.search(text) and _SAFE.search(text):
        asked.append(Ambiguity("fail_mode", f"{text!r} names fail-safe and fail-secure; state which it is under words"))
    elif says_fs(text):
        asked.append(Ambiguity("fail_mode", f"FS of {text!r} may be fail-safe or fail-secure; state which under words"))
    found = _meant(heading, text)
    if found is None:
        return _unnamed(heading, text, fail, values, asked)
    role, kinds = found
    if role == "lock" and not fail and kinds == ("electromagnetic-lock",):
        fail = "fail-safe"
    if role == "lock" and fail:
        _put(values, asked, "fail_mode", fail, text)
    if role == "lock" and _TWO.match(text):
        _put(values, asked, "lock_count", "2", text)
    if role == "reader_in" and not _WAY_OUT.search(f"{heading} {text}"):
        # A controller has a reader of its own; that there is one at the door is what the list says.
        _put(values, asked, "entry", "reader", text)
        return True
    role = "reader_out" if role == "reader_in" else role
    fitting = _fitting(role, kinds, text, fail, parts)
    if len(fitting) > 1 and role not in ("lock", "controller"):
        # Which of several sensors or contacts it is shows in its voltage; the lock's own is the likely one.
        asked += _several(role, text, fitting)
        fitting = fitting[:1]
    if len(fitting) == 1:
        _put(values, asked, role, fitting[0].id, text)
        return True
    names = ", ".join(part.id for part in fitting[:6])
    lacks = "fail-safe or fail-secure" if _ANY_VOLTS.search(text) else "its voltage"
    how = f"state {lacks} there, or what it means under words" if role == "lock" else "state which is meant under words"
    which = (
        f"{text!r} may be {names}; {how}" if names else f"no part answers to {text!r}; state which is meant under words"
    )
    asked.append(Ambiguity(role, which))
    return False


def _unnamed(heading: str, text: str, fail: str, values: dict[str, tuple[str, str]], asked: list[Ambiguity]) -> bool:
    """Words that name no device: a fail mode is taken, and a voltage below `Lock` is asked."""
    is_mode = bool(fail) and len(text) <= _MOST_OF_A_MODE
    if is_mode:
        _put(values, asked, "fail_mode", fail, text)
    if _ANY_VOLTS.search(text) and re.search(r"\block", heading, re.IGNORECASE):
        how = "state there which it is, or what it means under words"
        asked.append(Ambiguity("lock", f"{text!r} names no kind of lock; {how}"))
        return False
    return is_mode


def _fitting(role: str, kinds: Sequence[str], text: str, fail: str, parts: Sequence[Part]) -> list[Part]:
    """The parts that words may mean."""
    able = [part for part in parts if part.kind in kinds and _answers(part, text, fail)]
    heavy = bool(_HEAVY.search(text))
    if role == "lock" and not heavy and not _VOLTS.search(text):
        return able  # which of several voltages is asked, however strong they are
    # of words that say nothing of strength a heavy lock is meant only where there is no other
    return [part for part in able if _is_heavy(part) == heavy] or ([] if heavy else able)


def _several(role: str, text: str, fitting: Sequence[Part]) -> list[Ambiguity]:
    others = ", ".join(part.id for part in fitting[1:])
    return [Ambiguity(role, f"{text!r} is taken for {fitting[0].id}; it may be {others}")]


def _answers(part: Part, text: str, fail: str) -> bool:
    """Whether words may mean a part: what they say of voltage, fail mode and own contact is true of it."""
    title = f"{part.id} {part.title}"
    if isinstance(part, RexSensor) and bool(_BUTTON.search(text)) != bool(_BUTTON.search(title)):
        return False
    if isinstance(part, RexSensor | ReleaseButton):
        in_leaf = bool(_HANDLE.search(title)) if part.in_leaf is None else part.in_leaf
        if in_leaf != bool(_HANDLE.search(text)):
            return False
    volts = _VOLTS.search(text)
    if not isinstance(part, Lock):
        return volts is None or bool(_BOTH_VOLTS.search(text)) or _volts_of(title) in (volts[1], "")
    if is_ac_alone(text):  # no part of ours runs on it
        return False
    stated_v = {float(number) for number in _ANY_VOLTS.findall(text)}
    if stated_v and not _BOTH_VOLTS.search(text) and part.rated_v not in stated_v:
        return False
    return not (fail and part.action not in ("", fail)) and bool(part.own_contact) == bool(_MONITORED.search(text))


def _is_heavy(part: Part) -> bool:
    return bool(_HEAVY.search(f"{part.id} {part.title}"))


def _volts_of(title: str) -> str:
    found = _VOLTS.search(title)
    return found[1] if found else ""
