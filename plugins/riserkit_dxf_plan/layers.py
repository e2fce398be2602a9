"""What stands on a layer, by its name: the scheme of the national CAD standard, and words of other offices.

The standard's names begin with a discipline (`A-WALL`, `A-DOOR`, `A-AREA-IDEN`); elsewhere a word tells. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, Literal

Role = Literal["walls", "doors", "rooms", "texts", "ignore", ""]

_WORDS: Final[tuple[tuple[Role, str], ...]] = (
    ("ignore", r"FURN|EQPM|EQUIP|FIXT|SANR|PLUMB|CASE|CASW|MILL|HVAC|LITE|LIGHT|ELEC\b|GRID|DIM|TOPO|SITE|PROP|ROOF|STRS|STAIR|HRAL|RAIL"
               r"|COLS?\b|FNDN|FOOT|BEAM|PATT|HATCH|SCHRAFF|MOEBEL|MÖBEL|TREPPE|VIEWPORT|VPORT|DEFPOINTS|TTLB|TITLE|BORDER|LEADER"),
    ("texts", r"(?:DOOR|DR|T[ÜU]E?R|PORTE)[A-Z]*[-_ ]*(?:IDEN|TEXT|TXT|ANNO|TAG|NO|NUM|NR|MARK)|ANNO"),
    ("doors", r"DOORS?|\bDR\b|OPENINGS?|\bOPNG|T[ÜU]E?R(?:EN)?(?![A-Z])|PORTES?(?![A-Z])|PUERTA|ÖFFNUNG|OEFFNUNG|SWING|GATE"),
    ("rooms", r"AREA|ROOM|SPACE|\bRM\b|RAUM|R[ÄA]UME|ZONE|LOCAL|PIECE"),
    ("walls", r"WALLS?|W[ÄA]E?NDE?|MURS?(?![A-Z])|PARTITION|CLOISON|PARED|MAUER"),
    ("texts", r"TEXT|TXT|NOTE|BESCHRIFTUNG"),
)  # fmt: skip
_PATTERNS: Final = tuple((role, re.compile(words)) for role, words in _WORDS)
WINDOWS: Final = re.compile(r"GLAZ|WIND|FENSTER|FENETRE|SILL|CURT", re.IGNORECASE)


def role_of(layer: str, stated: Mapping[str, str]) -> Role:
    """What a layer holds.

    Examples:
        >>> [role_of(name, {}) for name in ("A-WALL", "A-DOOR", "A-DOOR-IDEN", "A-AREA-IDEN", "A-FURN", "0")]
        ['walls', 'doors', 'texts', 'rooms', 'ignore', '']
    """
    if layer in stated:
        return stated[layer]  # type: ignore[return-value]
    name = layer.upper().replace("_", "-")
    return next((role for role, pattern in _PATTERNS if pattern.search(name)), "")
