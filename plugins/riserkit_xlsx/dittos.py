"""Cells that say only that they say the same: as the row above, or as another door."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.names import folded_mark
from riserkit_xlsx.grid import Grid, address

_ABOVE: Final = re.compile(
    r"[\"″〃”“]|''|,,|[-–—\s]*(?:ditto|dto\.?|idem|id\.|do\.)[-–—\s.]*|-+\s*do\s*-+|same|(?:the )?same as above|as above|see above"
    r"|wie oben|wie vor|comme ci-dessus|[ií]dem anterior",
    re.IGNORECASE,
)
_AS_DOOR: Final = re.compile(
    r"(?:(?:the )?(?:same as|as for|as per|as|like|see)|(?P<sim>sim(?:ilar|\.)?(?: to| as)?))\s+"
    r"(?:(?:door|dr|opening|no|number)\.?\s*)*#?\s*(?P<mark>[\w.\-/]{1,20})",
    re.IGNORECASE,
)
_LEAST_SAID: Final = 2


@dataclass(frozen=True, slots=True)
class SaidAgain:
    """A cell that says the same as another.

    Args of note:
        words: what stood in it, such as `DITTO`.
        source: the cell that it repeats, such as `F12`; empty where there is none.
        is_similar: whether it says only that it is much the same.
    """

    at: str
    words: str
    source: str
    is_similar: bool = False


def only_repeats(text: str) -> bool:
    """Whether a cell says no more than that it says the same as the one above.

    Examples:
        >>> only_repeats("DITTO"), only_repeats("101")
        (True, False)
    """
    return _ABOVE.fullmatch(text) is not None


def say_again(grid: Grid, meanings: Mapping[int, str], rows: Sequence[int]) -> Iterator[SaidAgain]:
    """Write what they repeat into cells that say only that they repeat it; what repeats nothing is emptied.

    Marks stay as they are, and so do remarks that name another door.

    Args:
        grid: the sheet, which is changed.
        meanings: by column what it means.
        rows: numbers of the table's rows.
    """
    mark = next((column for column, meaning in meanings.items() if meaning == "mark"), None)
    row_of = {} if mark is None else {folded_mark(grid.get(row, mark)): row for row in reversed(rows)}
    above: int | None = None
    for row in rows:
        cells = grid.rows[row]
        if sum(1 for text in cells if text) < _LEAST_SAID:
            continue
        for column, text in enumerate(cells):
            if not text or column == mark:
                continue
            source, is_similar = above, False
            if not only_repeats(text):
                other = _AS_DOOR.fullmatch(text)
                source = row_of.get(folded_mark(other["mark"])) if other else None
                is_similar = other is not None and bool(other["sim"])
                if source is None or source == row or meanings.get(column) in ("remarks", ""):
                    continue
            cells[column] = "" if source is None else grid.get(source, column)
            yield SaidAgain(address(row, column), text, "" if source is None else address(source, column), is_similar)
        above = row
