"""The unit of bare numbers in a list: what its heading says, else that in which they are sizes of doors."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

from riserkit.importing.facts import Severity
from riserkit_xlsx.blocks import ListBlock
from riserkit_xlsx.grid import Grid
from riserkit_xlsx.headings import unit_of_heading
from riserkit_xlsx.no_doors import is_total
from riserkit_xlsx.sizes import is_size_code, likely_unit, numbers_of

_MEANINGS: Final = ("width_m", "leaf_width_m", "clear_width_m", "height_m", "size")
_LONG: Final = {"inch": "in", "inches": "in", "feet": "ft"}
_BARE: Final = re.compile(r"\d+(?:[.,]\d+)?")
_FEET: Final = re.compile(r"\d\s*(?:['\"′″]|ft\b|in\b|feet|inch)", re.IGNORECASE)


def units_of(grid: Grid, block: ListBlock) -> tuple[Mapping[str, str], list[tuple[Severity, str, str]]]:
    """By meaning the unit of bare numbers; and severity, text and remedy of what is to be told of it.

    Args:
        grid: the sheet.
        block: the table.
    """
    found: dict[str, str] = {}
    cells: list[str] = []
    widths, heights = [], []
    # the number of doors in a total is no size of one
    rows = [row for row in block.rows if not is_total([text for text in grid.rows[row] if text])]
    for meaning, column in ((meaning, block.column(meaning)) for meaning in _MEANINGS):
        if column is None:
            continue
        named = unit_of_heading(block.headings[column])
        found[meaning] = _LONG.get(named, named)
        texts = [grid.get(row, column) for row in rows]
        cells += texts
        if meaning == "size":
            wide, high = numbers_of(texts)
            widths += wide
            heights += high
        else:
            (heights if meaning == "height_m" else widths).extend(_bare(texts))
    stated = {unit for unit in found.values() if unit}
    codes = {float(text) for text in cells if is_size_code(text)}
    in_feet = sum(map(bool, map(_FEET.search, cells)))
    if codes and not stated and in_feet and in_feet >= sum(width not in codes for width in widths):
        # 3068 among feet and inches is a size in both, and no number of millimetres
        widths = [width for width in widths if width not in codes]
    unit = next(iter(stated)) if len(stated) == 1 else likely_unit(widths, heights)
    lacking = ", ".join(meaning for meaning, known in found.items() if not known)
    told: list[tuple[Severity, str, str]] = []
    if lacking and (widths or heights) and unit:
        told.append(("inferred", f"bare numbers of {lacking} are read as {unit}: from the sizes that doors have",
                     "write the unit into the heading"))  # fmt: skip
    elif lacking and (widths or heights):
        told.append(("question", f"the unit of bare numbers of {lacking} is not known; they go to the remarks",
                     "write the unit into the heading, such as Width (mm)"))  # fmt: skip
    return {meaning: known or unit for meaning, known in found.items()}, told


def _bare(texts: list[str]) -> Iterator[float]:
    return (float(text.replace(",", ".")) for text in texts if _BARE.fullmatch(text))
