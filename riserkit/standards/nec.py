"""Where the National Electrical Code says it, by edition: sections move, and a citation of the wrong edition misleads."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Confidence, Source

EDITIONS: Final = ("2020", "2023")
"""Those whose sections are listed here. The limits are those of the last one."""

_UNSEEN: Final = "2026"
_CLAUSES: Final[Mapping[str, Mapping[str, tuple[str, Confidence]]]] = {
    "cable locations": {
        "2020": ("725.135, 725.154 and 800.113", "from memory"),
        "2023": ("800.113 and Table 722.135(B)", "verified"),
    },
    "bundle ampacity": {"2020": ("Table 725.144", "from memory"), "2023": ("Table 725.144", "verified")},
    "conduit fill": {
        "2020": ("chapter 9 tables 1 and 4", "from memory"),
        "2023": ("chapter 9 tables 1 and 4", "verified"),
    },
    "class 2 sources joined": {"2020": ("725.121(B)", "from memory"), "2023": ("725.60(B)", "from memory")},
    "class 2": {"2020": ("chapter 9 table 11(B)", "from memory"), "2023": ("chapter 9 table 11(B)", "verified")},
}
_EDITION: Final = re.compile(r"\b(?:NEC|NFPA\s*70)\D{0,3}(\d{4})\b|\b(\d{4})\s+(?:NEC|NFPA\s*70)\b", re.IGNORECASE)

CHAPTER_8_MOVED: Final = Source(
    "NEC", _UNSEEN, "chapter 8 dissolved into chapter 7; section numbers not seen", "from memory"
)

# Subject: by edition its section or table, and how surely that is known.
CLAUSES: Final[Mapping[str, Mapping[str, Source]]] = MappingProxyType(
    {
        subject: MappingProxyType({edition: Source("NEC", edition, *clause) for edition, clause in clauses.items()})
        for subject, clauses in _CLAUSES.items()
    }
)


def nec_edition(electrical_code: str) -> str:
    """The edition of the National Electrical Code that a site names, tabulated or not; empty when it names none.

    Examples:
        >>> nec_edition("NEC 2023, as adopted locally"), nec_edition("2026 NEC"), nec_edition("local code")
        ('2023', '2026', '')
    """
    match = _EDITION.search(electrical_code)
    return (match[1] or match[2]) if match else ""


def cite_nec(subject: str, electrical_code: str, confidence: Confidence | None = None) -> str:
    """The source of a limit as a finding prints it, by the edition that the site names.

    Args:
        subject: a key of `CLAUSES`.
        electrical_code: as the site states it.
        confidence: of the value itself, where it is less sure than the section.

    Raises:
        KeyError: another subject.

    Examples:
        >>> cite_nec("bundle ampacity", "NEC 2023")
        'NEC 2023 Table 725.144 (verified)'
        >>> cite_nec("bundle ampacity", "NEC 2026")
        'NEC 2026: section numbers not verified; limits of NEC 2023 Table 725.144 (verified)'
        >>> cite_nec("class 2", "")
        'NEC, edition not stated; limits of NEC 2023 chapter 9 table 11(B) (verified)'
    """
    clauses, edition = CLAUSES[subject], nec_edition(electrical_code)
    if edition in clauses:
        return _cite(clauses, edition, confidence)
    limits = f"limits of {_cite(clauses, EDITIONS[-1], confidence)}"
    if edition == _UNSEEN:
        return f"NEC {edition}: section numbers not verified; {limits}"
    return f"NEC {edition}: edition not known here; {limits}" if edition else f"NEC, edition not stated; {limits}"


def _cite(clauses: Mapping[str, Source], edition: str, confidence: Confidence | None) -> str:
    source = clauses[edition]
    return (replace(source, confidence=confidence) if confidence else source).cite()
