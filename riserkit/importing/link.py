"""Which row is which: rows of the last import found again among the user's rows and among those of the new documents."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.last import LastRow
from riserkit.importing.row import Row
from riserkit.importing.texts import EditableTable, Line, same_value
from riserkit.model.tables import fields_of
from riserkit.quantities.grouping import grouped

SAME_PLACE_M: Final = 0.3
"""Two versions of a drawing that show a door this near show the same door."""
SAME_THING_M: Final = 5.0
"""A handle or id that is found again farther off is not trusted: drawings are exported anew, and number anew."""
# What else of a row tells it apart when its name was changed.
_TELLING: Final[Mapping[str, tuple[str, ...]]] = {
    "levels": ("name", "elevation_m"),
    "rooms": ("level", "outline_wkt"),
    "openings": ("level", "x_m", "y_m"),
    "pathway_nodes": ("level", "x_m", "y_m"),
    "pathway_segments": ("from_node", "to_node", "kind"),
}


@dataclass(frozen=True, slots=True)
class Links:
    """By the place of a new row, that of its row of the last import."""

    known_of: Mapping[int, int]


def link_mine(text: EditableTable, mine: Sequence[Line], known: Sequence[LastRow], key: str) -> dict[int, Line]:
    """By row of the last import, the user's row that came of it: by its name, else by where it stands."""
    by_key = grouped((text.get(line, key), line) for line in mine)
    found: dict[int, Line] = {}
    for n, row in enumerate(known):
        lines = by_key.get(row.key, [])
        if row.text(key) not in (None, row.key):
            lines = lines or by_key.get(row.text(key) or "", [])
        if lines:
            found[n] = lines.pop(0)
    used = {id(line) for line in found.values()}
    left = [line for line in mine if id(line) not in used]
    for n, row in enumerate(known):
        if n in found or not left:
            continue
        fitting = [line for line in left if _is_same(text, line, row)]
        if len(fitting) == 1:
            found[n] = fitting[0]
            left = [line for line in left if line is not fitting[0]]
    return found


def _is_same(text: EditableTable, line: Line, row: LastRow) -> bool:
    facts = fields_of(text.name)
    columns = [column for column in _TELLING.get(text.name, ()) if row.text(column)]
    return bool(columns) and all(
        same_value(facts.get(c), text.get(line, c), row.text(c) or "", text.columns.get(c, (0, ""))[1]) for c in columns
    )


def link_theirs(rows: Sequence[Row], known: Sequence[LastRow]) -> Links:
    """By new row, the row of the last import that it is: by its name, by its document's id, else by its place.

    Examples:
        >>> link_theirs([Row("2", {}, "a")], [LastRow("1", "a", {})]).known_of
        {0: 0}
    """
    found: dict[int, int] = {}
    left = set(range(len(known)))
    keys = {row.key: n for n, row in enumerate(known)}
    ids = Counter(row.identity for row in known)
    by_id = {row.identity: n for n, row in enumerate(known) if row.identity and ids[row.identity] == 1}

    def take(n: int, b: int | None) -> None:
        if b is not None and b in left and n not in found:
            found[n] = b
            left.discard(b)

    for n, row in enumerate(rows):
        b = keys.get(row.key)
        if b is not None and by_id.get(row.identity) == b:
            take(n, b)
    for n, row in enumerate(rows):
        b = by_id.get(row.identity)
        # A name that moved to another door is that door's; the id says which row it was.
        if b is not None and _apart_m(row, known[b]) <= SAME_PLACE_M:
            take(n, b)
    for n, row in enumerate(rows):
        take(n, keys.get(row.key))
    for n, row in enumerate(rows):
        b = by_id.get(row.identity)
        if b is not None and _apart_m(row, known[b]) <= SAME_THING_M:
            take(n, b)
    for far_m, n, b in sorted(_near(rows, known, found, left)):
        if far_m <= SAME_PLACE_M:
            take(n, b)
    return Links(found)


def _near(
    rows: Sequence[Row], known: Sequence[LastRow], found: Mapping[int, int], left: set[int]
) -> Iterator[tuple[float, int, int]]:
    """Pairs of what is left that stand near each other, looked up in a grid of one place's size."""
    grid: dict[tuple[int, int], list[int]] = {}
    for b in left:
        at_m = _place_of(known[b].text("x_m"), known[b].text("y_m"))
        if at_m is not None:
            grid.setdefault((math.floor(at_m[0]), math.floor(at_m[1])), []).append(b)
    for n, row in enumerate(rows):
        at_m = None if n in found else _row_place(row)
        if at_m is None:
            continue
        x, y = math.floor(at_m[0]), math.floor(at_m[1])
        for b in (b for i in (x - 1, x, x + 1) for j in (y - 1, y, y + 1) for b in grid.get((i, j), ())):
            yield _apart_m(row, known[b]), n, b


def _row_place(row: Row) -> tuple[float, float] | None:
    x, y = row.cells.get("x_m"), row.cells.get("y_m")
    return _place_of(x.text if x else None, y.text if y else None)


def _place_of(x: str | None, y: str | None) -> tuple[float, float] | None:
    return (float(x), float(y)) if x and y else None


def _apart_m(row: Row, before: LastRow) -> float:
    """How far apart two rows stand; 0 where either has no place, endless on different levels."""
    level = row.cells.get("level")
    if level is not None and before.text("level") not in (None, level.text):
        return math.inf
    one, other = _row_place(row), _place_of(before.text("x_m"), before.text("y_m"))
    return 0.0 if one is None or other is None else math.dist(one, other)
