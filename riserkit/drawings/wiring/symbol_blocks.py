"""Which block draws an element inside a device. After IEC 60617 (from memory): a battery's long stroke is plus.

Devices show their symbols at half size, so these blocks have no letters, which would fall under the least height.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from riserkit.circuits.netlist import ElementKind

_BLOCKS: Final = MappingProxyType(
    {ElementKind.SOURCE: "battery", ElementKind.SUPPRESSOR: "suppressor", ElementKind.DIODE: "diode"}
)


def symbol_block(kind: ElementKind, *, normally_closed: bool) -> str:
    """The block that draws an element; its plus end is at the top, but for a diode, whose cathode is."""
    if kind is ElementKind.CONTACT:
        return "contact_nc" if normally_closed else "contact_no"
    return _BLOCKS.get(kind, "coil")
