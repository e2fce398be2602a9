"""How a door works, by its operation type (IfcDoorTypeOperationEnum of ISO 16739; IfcDoorStyleOperationEnum of IFC 2x3).

The hand of the standard is read along +y of the door's placement, in the direction of the swing: SINGLE_SWING_LEFT has its
hinges at the left, at the start of the panel's x axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from riserkit.importing.facts import Operation

_KINDS: Final[tuple[tuple[str, Operation], ...]] = (
    ("SWING", "swing"), ("SLIDING", "sliding"), ("FOLDING", "folding"), ("REVOLVING", "revolving"), ("ROLLINGUP", "overhead"),
    ("LIFTING", "overhead"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DoorOperation:
    """How a door works.

    Args of note:
        hinge: of a single leaf, where along the width it hangs, 0 or 1.
        swings: it swings to one side, that of +y.
        is_other: the word says more than these fields do.
    """

    word: str = ""
    leaves: int | None = None
    operation: Operation = ""
    hinge: float | None = None
    swings: bool = False
    is_other: bool = False


def operation_of(door: Any, kind: Any) -> DoorOperation:
    """The operation of a door: its own where it states one, else its type's."""
    for holder in (door, kind):
        word = str(getattr(holder, "OperationType", None) or "").upper()
        if word == "USERDEFINED":
            own = str(getattr(holder, "UserDefinedOperationType", None) or "")
            return DoorOperation(own or word, operation="other", is_other=bool(own))
        if word and word != "NOTDEFINED":
            return _read(word)
    return DoorOperation()


def _read(word: str) -> DoorOperation:
    operation: Operation = next((kind for sign, kind in _KINDS if sign in word), "other")
    leaves = (
        2
        if word.startswith("DOUBLE_DOOR")
        else 1
        if word.startswith(("SINGLE", "DOUBLE_SWING", "SWING_FIXED"))
        else None
    )
    if operation in ("sliding", "folding") and word.startswith(("SLIDING", "FOLDING")):
        leaves = 1
    hinge = None
    if operation == "swing" and leaves == 1:
        hinge = 0.0 if word.endswith("LEFT") else 1.0 if word.endswith("RIGHT") else None
    to_both = word.startswith("DOUBLE_SWING") or "DOUBLE_DOOR_DOUBLE_SWING" in word or "OPPOSITE" in word
    return DoorOperation(
        word, leaves, operation, hinge, operation == "swing" and not to_both, operation == "other" or to_both
    )
