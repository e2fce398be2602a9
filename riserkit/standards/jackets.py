"""Cable jackets: where each type may run in the open."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import NotTabulatedError, Source

LOCATIONS: Final = Source("NEC", "2023", "800.113 and Table 722.135(B)", "verified")
OUTDOOR_MARKS: Final = Source("", confidence="common practice")

# Type: the types that may be installed where it is required.

PLENUM_TYPES: Final = frozenset({"CMP", "CL3P", "CL2P", "FPLP", "OFNP", "OFCP"})
RISER_TYPES: Final = frozenset({"CMR", "CL3R", "CL2R", "FPLR", "OFNR", "OFCR"})
GENERAL_TYPES: Final = frozenset({"CM", "CMG", "CL3", "CL2", "FPL", "PLTC", "OFN", "OFNG", "OFC", "OFCG"})
LIMITED_TYPES: Final = frozenset({"CMX", "CL3X", "CL2X"})
# Marks of cable made for weather and sun. The code's table has no such column.
OUTDOOR_TYPES: Final = frozenset({"OSP", "CMX OUTDOOR", "PLTC"})

_ALLOWED: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "plenum": PLENUM_TYPES,
        "riser": PLENUM_TYPES | RISER_TYPES,
        "general": PLENUM_TYPES | RISER_TYPES | GENERAL_TYPES,
        "outdoor": OUTDOOR_TYPES,
    }
)
_KNOWN: Final = PLENUM_TYPES | RISER_TYPES | GENERAL_TYPES | LIMITED_TYPES | OUTDOOR_TYPES
_LIMITED_POWER_MARK: Final = re.compile(r"-LP(?:\s*\([\d.]+\s*A\))?$")


def jacket_allowed(jacket: str, space: str) -> bool:
    """Whether a cable with this listing mark may run in the open in this space.

    In the open means without the raceway, shaft or dwelling exceptions of 800.113(C) to (G). Limited-use types
    (CMX, CL3X, CL2X) are therefore not allowed in the general space: only short exposed lengths of them are.
    Outdoors, cable marked for it is (common practice, no source).

    Args:
        jacket: listing mark such as `CMP`, `cl3r`, `CMP-LP (0.5 A)`; a double mark such as
            `CMR/OSP` may serve as either.
        space: `plenum`, `riser`, `general` or `outdoor`.

    Raises:
        NotTabulatedError: a mark that the table does not know, such as one from outside North America.
        ValueError: another space.

    Examples:
        >>> jacket_allowed("CMR", "plenum"), jacket_allowed("CL3P", "riser"), jacket_allowed("CMR/OSP", "outdoor")
        (False, True, True)
    """
    if space not in _ALLOWED:
        raise ValueError(f"space {space!r}; expected one of {', '.join(_ALLOWED)}")
    return any(mark in _ALLOWED[space] for mark in _marks(jacket))


def _marks(jacket: str) -> tuple[str, ...]:
    marks = tuple(_LIMITED_POWER_MARK.sub("", mark.strip()) for mark in jacket.upper().split("/"))
    unknown = [mark for mark in marks if mark not in _KNOWN]
    if unknown:
        raise NotTabulatedError(f"jacket {jacket!r}; expected a listing mark such as CMP, CMR, CL3P, CL2 or OSP")
    return marks
