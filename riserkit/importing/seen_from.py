"""An opening's hand as seen from the side that the user states, where that is not the one inferred."""

from __future__ import annotations

from typing import Final

from riserkit.importing.last import LastRow
from riserkit.importing.row import ImportedCell, Row
from riserkit.importing.sides import hand

_SIDES: Final = {"secured_side": "unsecured_side", "unsecured_side": "secured_side"}


def seen_from(
    theirs: dict[str, ImportedCell], row: Row, stated_deg: str, before: LastRow | None
) -> dict[str, ImportedCell]:
    """The cells of an opening as seen from the side that the user states, where that is not the one inferred."""
    door, own = row.door, theirs.get("secured_side_deg")
    try:
        user_deg = float(stated_deg.replace(",", "."))
    except ValueError:
        return theirs
    was = before.text("secured_side_deg") if before else None
    if (
        door is None
        or door.angle_deg is None
        or (own is None and not stated_deg)
        or (was is not None and was == stated_deg)
    ):
        return theirs
    if own is not None and abs((user_deg - float(own.text) + 180) % 360 - 180) < 90:
        return theirs
    found = dict(theirs)
    at, why = next(iter(row.cells.values())).at, "the leaf as drawn, seen from the side that the table states"
    for column, text in hand(door, user_deg).items():
        found[column] = ImportedCell(text, at, why)
    if own is not None:
        for column, other in _SIDES.items():
            if other in theirs:
                found[column] = theirs[other]
            else:
                found.pop(column, None)
    return found
