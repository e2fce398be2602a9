"""A line of a materials list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.model.cabling import CableType

KINDS: Final = ("part", "cable", "pathway", "connector", "box", "consumable", "label")
"""In the order in which a list shows them."""

PIECES: Final = "pieces"
METRES: Final = "m"


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """What is counted together.

    Args:
        kind: one of `KINDS`.
        item: id of the part or cable type; empty for what the catalogue does not hold.
        description: in words.
        unit: `PIECES`, or `METRES` for cable.
        note: how it is used, or who brings it.
    """

    kind: str
    item: str
    description: str
    unit: str = PIECES
    note: str = ""


Needed = tuple[MaterialLine, float]
"""A line with its quantity."""


def cable_line(kind: CableType) -> MaterialLine:
    """The line of a cable type; its category is said where its title does not."""
    title, category = kind.title or kind.id, f"category {kind.category}" if kind.category else ""
    described = title if category in title.lower() else f"{title}, {category}"
    return MaterialLine("cable", kind.id, described, METRES)


CORDS: Final = MaterialLine(
    "cable", "", "Patch cord, data", note="one at the switch and one at the controller of each PoE cable"
)
JACKS: Final = MaterialLine("connector", "", "8P8C plug or jack", note="one at each end of a PoE cable")
SPLICES: Final = MaterialLine(
    "connector", "", "Gel-filled splice or terminal connector", note="one for each conductor landed at a junction"
)
FIBRE_ENDS: Final = MaterialLine("connector", "", "Fibre connector", note="one at each end of each fibre")
CABLE_LABELS: Final = MaterialLine("label", "", "Cable label", note="one at each end")
