"""What stands on a layer, by its name: the scheme of the national CAD standard, and words of other offices.

The standard's names begin with a discipline (`A-WALL`, `A-DOOR`, `A-AREA-IDEN`); elsewhere a word tells. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, Literal

Role = Literal["walls", "doors", "rooms", "texts", "ignore", ""]

_DOOR: Final = (
    r"DOORS?|\bDR\b|T[ÜU]E?R(?:EN)?(?![A-Z])|PORT[EA]S?(?![A-Z])|PUERTAS?|DEUR(?:EN)?|D[ÖO]RR|DRZWI|ДВЕР|门|扉|ドア"
)
_WORDS: Final[tuple[tuple[Role, str], ...]] = (
    ("ignore", r"FURN|EQPM|EQUIP|FIXT|SANR|PLUMB|CASE|CASW|MILL|HVAC|LITE|LIGHT|ELEC\b|GRID|DIM|TOPO|SITE|PROP|ROOF|STRS|STAIR|HRAL|RAIL"
               r"|COLS?\b|FNDN|FOOT|BEAM|PATT|HATCH|SCHRAFF|MOEBEL|MÖBEL|TREPPE|VIEWPORT|VPORT|CABL|TRAY|DUCT|PIPE|DEFPOINTS|TTLB|TITLE|BORDER|LEADER"
               r"|MEUBLE|MOBIL|ARREDI|ESCAL|SCALE\b|MEBEL|МЕБЕЛЬ|ЛЕСТНИЦ|家具|楼梯"),
    ("texts", rf"(?:{_DOOR})[A-Z]*[-_ ]*(?:IDEN|TEXT|TXT|ANNO|TAG|NO|NUM|NR|MARK)"
              rf"|(?:TEXTOS?|TEXTES?|TESTI|NOS?|N[°º]|NUM|TAGS?)[-_ ]*(?:{_DOOR})"
              r"|ANNO"),
    ("doors", rf"{_DOOR}|OPENINGS?|\bOPNG|ÖFFNUNG|OEFFNUNG|SWING|SWNG|GATE"),
    ("rooms", r"AREA|ROOM|SPACE|\bRM\b|RAUM|R[ÄA]UME|ZONE|LOCAL|LOCAUX|PI[EÈ]CE|HABITACI|LOCALI\b|VANI\b|RUIMTE|POMIESZCZ|ПОМЕЩ|房间|部屋"),
    ("walls", r"WALLS?|W[ÄA]E?NDE?|MURS?(?![A-Z])|MUROS?|MURI(?![A-Z])|PARTITION|CLOISON|PARED|PAREDES|PARETI|MAUER|TABIQUE|MUREN|WANDEN"
              r"|V[ÄA]GG|ŚCIAN|SCIAN|СТЕН|墙|壁"),
    ("texts", r"TEXT|TXT|NOTE|BESCHRIFTUNG|TESTO|ТЕКСТ|文字"),
)  # fmt: skip
_PATTERNS: Final = tuple((role, re.compile(words)) for role, words in _WORDS)
WINDOWS: Final = re.compile(
    r"GLAZ|WIND|FENSTER|FEN[EÊ]TRE|SILL|CURT|VENTANA|FINESTR|RAMEN|F[ÖO]NSTER|OKN[AO]|ОКН[АО]|窗|窓", re.IGNORECASE
)


_OF_DOORS: Final = re.compile(r"DOOR|DR\b|T[UÜ]E?R|OPENING|PORT[EA]|PUERTA|DEUR|D[ÖO]RR|DRZWI", re.IGNORECASE)
_GONE: Final = re.compile(r"DEMO(?:L|\b)|ABBRUCH|ABRISS|D[ÉE]MOL|DERRIB|RIVNING|SLOOP|[-_]D$", re.IGNORECASE)


def is_of_demolished(layer: str) -> bool:
    """Whether a layer's name says that what stands on it is taken down: by a word, or the status of the national CAD standard.

    Examples:
        >>> [is_of_demolished(name) for name in ("A-DOOR-DEMO", "TUER_ABBRUCH", "A-DOOR-D", "A-DOOR-IDEN", "A-DOOR")]
        [True, True, True, False, False]
    """
    return _GONE.search(layer) is not None


def is_of_door_tags(layer: str, roles: Mapping[str, Role | str]) -> bool:
    """Whether a layer holds the texts of doors.

    Examples:
        >>> [is_of_door_tags(name, {name: role_of(name, {})}) for name in ("A-DOOR-IDEN", "A-ANNO-TEXT", "A-DOOR")]
        [True, False, False]
    """
    return roles.get(layer) == "texts" and _OF_DOORS.search(layer) is not None


def role_of(layer: str, stated: Mapping[str, str]) -> Role:
    """What a layer holds.

    Examples:
        >>> role_of("N°PORTES", {}), role_of("PORTES", {})
        ('texts', 'doors')
        >>> [role_of(name, {}) for name in ("A-WALL", "A-DOOR", "A-DOOR-IDEN", "A-AREA-IDEN", "A-FURN", "0")]
        ['walls', 'doors', 'texts', 'rooms', 'ignore', '']
    """
    if layer in stated:
        return stated[layer]  # type: ignore[return-value]
    name = layer.upper().replace("_", "-")
    found: Role = next((role for role, pattern in _PATTERNS if pattern.search(name)), "")
    # Casements swing as leaves do; a layer of windows alone has no doors.
    return "ignore" if not found and WINDOWS.search(name) else found
