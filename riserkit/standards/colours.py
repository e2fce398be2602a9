"""Colours of conductors, by letter codes that read in black and white."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Source

LETTER_CODES: Final = Source("IEC 60757", "2021", "letter codes", "verified")
CONDUCTOR_ORDER: Final = Source("", confidence="common practice")

# In the standard's own order, which is also the order of letters within a combination.
COLOUR_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "BK": "black",
        "BN": "brown",
        "RD": "red",
        "OG": "orange",
        "YE": "yellow",
        "GN": "green",
        "BU": "blue",
        "VT": "violet",
        "GY": "grey",
        "WH": "white",
        "PK": "pink",
        "GD": "gold",
        "TQ": "turquoise",
        "SR": "silver",
        "GNYE": "green-and-yellow",
    }
)

# Gold and silver are no colours of plastic insulation; green-and-yellow is kept for protective conductors.
SINGLE_COLOURS: Final = tuple(code for code in COLOUR_NAMES if code not in {"GD", "SR", "GNYE"})


def _combinations() -> tuple[str, ...]:
    # White and then black stripes first: they read best on every base colour.
    striped = [pair for base in ("WH", "BK") for pair in combinations(SINGLE_COLOURS, 2) if base in pair]
    rest = list(combinations(SINGLE_COLOURS, 2))
    ordered = dict.fromkeys([*striped, *rest])
    return tuple("".join(pair) for pair in ordered if set(pair) != {"GN", "YE"})


# What reels of control cable carry (common practice, no source): two conductors red and black, four with white and green,
# six with brown and blue; then the other single colours in the standard's order, then two-colour ones.
_REEL: Final = ("RD", "BK", "WH", "GN", "BN", "BU")
CONDUCTOR_ORDER_CODES: Final = (
    *_REEL,
    *(code for code in SINGLE_COLOURS if code not in _REEL),
    *_combinations(),
)
PLUS_COLOUR: Final = "RD"
MINUS_COLOUR: Final = "BK"


def conductor_colours(n: int) -> tuple[str, ...]:
    """Letter codes for `n` conductors of a control cable: those that reels carry first, then two-colour ones.

    Combinations are written in the standard's order too (`BKWH`, not `WHBK`), and green with yellow never occurs.

    Raises:
        ValueError: fewer than one, or more than there are distinct codes.

    Examples:
        >>> conductor_colours(4), conductor_colours(14)[12:]
        (('RD', 'BK', 'WH', 'GN'), ('BKWH', 'BNWH'))
    """
    if not 1 <= n <= len(CONDUCTOR_ORDER_CODES):
        raise ValueError(f"{n} conductors; expected 1 to {len(CONDUCTOR_ORDER_CODES)}")
    return CONDUCTOR_ORDER_CODES[:n]
