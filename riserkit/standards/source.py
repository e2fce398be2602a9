"""Where a published value comes from, and how surely it is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Confidence = Literal["verified", "consistent", "from memory", "common practice"]

# How each body joins its designation to the edition: IEC 60228:2004, NEC 2023; the rest use a hyphen.
_JOINERS: Final = (("IEC", ":"), ("ISO", ":"), ("NEC", " "), ("IBC", " "), ("ADA", " "), ("NCS", " "))


class NotTabulatedError(ValueError):
    """A value was asked for that the standard's table does not hold: no verdict follows from it."""


@dataclass(frozen=True, slots=True)
class Source:
    """The published origin of a value.

    Args:
        standard: designation without edition, such as `IEEE 802.3`; empty for common practice.
        edition: year or letter, such as `2022` or `D`; empty when the edition does not matter or is unknown.
        clause: clause or table in words, such as `clause 145` or `Table 725.144`.
        confidence: `verified` was read in the standard or a text that quotes it; `consistent` was recomputed from a
            formula or another table; `from memory` could not be seen; `common practice` has no published source.
    """

    standard: str
    edition: str = ""
    clause: str = ""
    confidence: Confidence = "from memory"

    def cite(self) -> str:
        """The source in one line, as it is printed beside a value.

        Examples:
            >>> Source("IEEE 802.3", "2022", "clause 145").cite()
            'IEEE 802.3-2022 clause 145 (from memory)'
            >>> Source("NEC", "2023", "Table 725.144", "verified").cite()
            'NEC 2023 Table 725.144 (verified)'
            >>> COMMON_PRACTICE.cite()
            'common practice, no source'
        """
        if self.confidence == "common practice":
            return "common practice, no source"
        joiner = next((mark for prefix, mark in _JOINERS if self.standard.startswith(prefix)), "-")
        title = f"{self.standard}{joiner}{self.edition}" if self.edition else self.standard
        return f"{' '.join(part for part in (title, self.clause) if part)} ({self.confidence})"


@dataclass(frozen=True, slots=True)
class Limit:
    """A published number with its unit and its source."""

    value: float
    unit: str
    source: Source


COMMON_PRACTICE: Final = Source("", confidence="common practice")
