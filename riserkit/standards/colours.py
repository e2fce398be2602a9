"""Colours of conductors, pairs and fibres, by letter codes that read in black and white."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Source

LETTER_CODES: Final = Source("IEC 60757", "2021", "letter codes", "verified")
PIN_PAIRS: Final = Source("TIA-568.2", "D", "pin and pair assignment", "verified")
FIBRE_COLOURS_SOURCE: Final = Source("TIA-598", "", "fibre colours", "verified")
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


@dataclass(frozen=True, slots=True)
class Pin:
    """One position of an 8P8C connector: number, colour (`W-GN` is white with green), and pair."""

    number: int
    colour: str
    pair: int


def _pins(*rows: tuple[str, int]) -> tuple[Pin, ...]:
    return tuple(Pin(number, *row) for number, row in enumerate(rows, start=1))


T568A: Final = _pins(
    ("W-GN", 3), ("GN", 3), ("W-OG", 2), ("BU", 1), ("W-BU", 1), ("OG", 2), ("W-BN", 4), ("BN", 4)
)  # fmt: skip
T568B: Final = _pins(
    ("W-OG", 2), ("OG", 2), ("W-GN", 3), ("BU", 1), ("W-BU", 1), ("GN", 3), ("W-BN", 4), ("BN", 4)
)  # fmt: skip

FIBRE_COLOURS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "BL": "blue",
        "OR": "orange",
        "GR": "green",
        "BR": "brown",
        "SL": "slate",
        "WH": "white",
        "RD": "red",
        "BK": "black",
        "YE": "yellow",
        "VI": "violet",
        "RS": "rose",
        "AQ": "aqua",
    }
)


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


def colour_name(code: str) -> str:
    """A letter code in words.

    Raises:
        ValueError: letters that the standard does not list.

    Examples:
        >>> colour_name("BU"), colour_name("BKWH"), colour_name("GNYE")
        ('blue', 'black/white', 'green-and-yellow')
    """
    if code in COLOUR_NAMES:
        return COLOUR_NAMES[code]
    parts = [code[i : i + 2] for i in range(0, len(code), 2)]
    if not parts or any(part not in COLOUR_NAMES for part in parts):
        raise ValueError(f"colour {code!r}; expected letters from {', '.join(COLOUR_NAMES)}")
    return "/".join(COLOUR_NAMES[part] for part in parts)


def fibre_colour(position: int) -> str:
    """Colour of a fibre by its position; past 12 the unit's colour stands in front, in the same order.

    Raises:
        ValueError: outside 1 to 144.

    Examples:
        >>> fibre_colour(1), fibre_colour(12), fibre_colour(13)
        ('BL', 'AQ', 'OR-BL')
    """
    codes = tuple(FIBRE_COLOURS)
    if not 1 <= position <= len(codes) ** 2:
        raise ValueError(f"fibre {position}; expected 1 to {len(codes) ** 2}")
    unit, place = divmod(position - 1, len(codes))
    return f"{codes[unit]}-{codes[place]}" if unit else codes[place]
