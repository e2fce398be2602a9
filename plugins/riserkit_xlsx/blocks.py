"""Where on a sheet the tables are: the heading of each, in one row or two, and the rows below it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from riserkit.importing.hardware import fail_mode_of, is_nothing, is_yes, speaks_of_hardware
from riserkit_xlsx.columns import voltage_of
from riserkit_xlsx.dittos import SaidAgain, say_again
from riserkit_xlsx.grid import Grid
from riserkit_xlsx.headings import (
    is_item_heading,
    is_set_heading,
    is_set_table,
    may_be_mark,
    meaning_of,
    unit_of_heading,
)
from riserkit_xlsx.sizes import UNITS_M

_LEAST_KNOWN: Final = 2
_SEARCHED: Final = 400
_HEAD_ROWS: Final = 3
_LEAST_ALIKE: Final = 3
_HEIGHT_FIRST: Final = re.compile(
    r"(?:\bh|height|h[öo]he|hauteur|alto)\s*(?:\([^)]*\)\s*)?[x×]\s*(?:w|b|l|a|width|breite|largeur|ancho)(?=\b|x)",
    re.IGNORECASE,
)
_OF_DOORS: Final = re.compile(r"\b(?:doors?|openings?|mark|tag|t[üu]r\w*|portes?|puertas?)\b", re.IGNORECASE)
_Head = tuple[dict[int, str], dict[int, str], int, bool]


@dataclass(frozen=True, slots=True)
class ListBlock:
    """One table of a sheet.

    Args of note:
        headings: by column its heading; of two rows both, the upper one first.
        meanings: by column what it means, empty where that is not known.
        rows: numbers of the rows below the heading.
        repeated: numbers of rows that repeat the heading.
        again: cells that said only that they say the same as another.
        is_beside: whether it is one of several that stand beside each other below like headings; columns of the others mean `ignore`.
    """

    header_row: int
    headings: Mapping[int, str]
    meanings: Mapping[int, str]
    rows: tuple[int, ...]
    repeated: tuple[int, ...] = ()
    is_sets: bool = False
    again: tuple[SaidAgain, ...] = ()
    is_beside: bool = False

    def is_blank(self, grid: Grid, row: int) -> bool:
        """Whether a row says something of another table beside this one alone."""
        return self.is_beside and not any(
            grid.get(row, c) for c, meaning in self.meanings.items() if meaning != "ignore"
        )

    def column(self, meaning: str) -> int | None:
        """The column of a meaning, the first of several; None for none."""
        return next((column for column, found in self.meanings.items() if found == meaning), None)


def find_blocks(grid: Grid, header_row: int | None, columns: Mapping[str, str]) -> list[ListBlock]:
    """The tables of a sheet from the top down.

    Args:
        grid: with its merged cells filled.
        header_row: of the first table, where the user states it.
        columns: what the user says that headings mean.
    """
    numbers = sorted(grid.rows)
    heads: dict[int, _Head] = {}
    mark: int | None = None
    for place, number in enumerate(numbers):
        if place > _SEARCHED and not heads:
            break
        stated = header_row == number
        if mark is not None and not stated and _is_of_a_door(grid, number, mark):
            continue
        above = numbers[place - 1] if place and numbers[place - 1] == number - 1 else None
        top = numbers[place - 2] if above is not None and place > 1 and numbers[place - 2] == above - 1 else None
        headings = _headings(grid, number, above, top)
        meanings = _meanings(headings, columns)
        if above is not None and _is_said_above(grid, number, above, meanings, columns):
            headings = _headings(grid, number, None, None)
            meanings = _meanings(headings, columns)
        own = sum(1 for c, m in meanings.items() if m and grid.get(number, c))
        named = {m for m in meanings.values() if m}
        is_sets = is_set_table(list(headings.values()))
        enough = own >= _LEAST_KNOWN and len(named) >= _LEAST_KNOWN and ("mark" in named or own >= _LEAST_KNOWN + 1)
        if above in heads and _goes_on(grid, number, above, heads[above][1], own):
            meanings = _with_upper(grid, above, headings, meanings, columns)
            own = heads[above][2] + own
            enough = True
        if stated or is_sets or enough:
            heads[number] = (headings, meanings, own, is_sets)
            mark = next((column for column, meaning in meanings.items() if meaning == "mark"), mark)
    heads = dict(_without_doubles(heads, header_row))
    return [part for block in _cut(grid, numbers, heads) for part in _side_by_side(block, columns)]


def _side_by_side(block: ListBlock, columns: Mapping[str, str]) -> Iterator[ListBlock]:
    """The tables of one whose headings begin anew beside themselves, as of a schedule in two columns of a sheet."""
    mark = None if block.is_sets else block.column("mark")
    starts = [] if mark is None else [c for c, text in block.headings.items() if text == block.headings[mark]]
    heads = [[block.headings.get(c + n) for n in range(_LEAST_ALIKE)] for c in starts]
    if len(starts) < _LEAST_KNOWN or any(head != heads[0] or not all(head) for head in heads):
        yield block
        return
    # what stands before the first of the headings of marks, as a running number does, stands before each
    lead = min(starts) - min(block.headings)
    ends = [start - lead for start in starts[1:]] + [max(block.headings) + 1]
    for start, end in zip([start - lead for start in starts], ends, strict=True):
        own = _meanings({c: text for c, text in block.headings.items() if start <= c < end}, columns)
        known = {c: meaning for c, meaning in block.meanings.items() if start <= c < end and meaning}
        meanings = {c: known.get(c) or own.get(c, "ignore") for c in block.headings}
        yield replace(block, meanings=meanings, is_beside=True)


def _is_of_a_door(grid: Grid, number: int, mark: int) -> bool:
    """Whether a row below a heading of marks is a door's, whose words may be those of headings: `maglock`, `DPS`, `no`.

    A mark has a number, or stands below another one.
    """
    text = grid.get(number, mark)
    if any(ch.isdigit() for ch in text):
        return True
    above = grid.get(number - 1, mark)
    return bool(text and above) and not any(map(meaning_of, (text, above))) and not is_set_heading(text)


def _is_said_above(
    grid: Grid, number: int, above: int, meanings: Mapping[int, str], columns: Mapping[str, str]
) -> bool:
    """Whether the row above one of headings only says something of the list, such as `Date: | 4 May`, and is no part of them."""
    upper = grid.rows[above]
    if any(label.endswith(":") and said and not said.endswith(":") for label, said in pairwise(upper)):
        return True
    alone = _meanings({column: text for column, text in enumerate(grid.rows[number]) if text}, columns)
    mark = next((column for column, meaning in alone.items() if meaning == "mark"), None)
    if mark is None or "mark" in meanings.values() or len({m for m in alone.values() if m}) <= _LEAST_KNOWN:
        return False
    # `No.` below `Room` is a room's, `Door No.` and `Mark` are a door's
    return _OF_DOORS.search(grid.get(number, mark)) is not None


def _goes_on(grid: Grid, number: int, above: int, meanings: Mapping[int, str], own: int) -> bool:
    """Whether a row of headings goes on in the row below it: words of headings there, and no door's mark."""
    mark = next((column for column, meaning in meanings.items() if meaning == "mark"), None)
    if mark is None or own < _LEAST_KNOWN:
        return False
    text = grid.get(number, mark)
    return text in ("", grid.get(above, mark)) or meaning_of(text) == "mark"


def _with_upper(
    grid: Grid, above: int, headings: Mapping[int, str], meanings: Mapping[int, str], columns: Mapping[str, str]
) -> dict[int, str]:
    """The meanings of a second row of headings; where it means nothing, as `(min)` below `Rating`, the first row's."""
    upper = _meanings({column: grid.get(above, column) for column in headings}, columns)
    found = dict(meanings)
    for column, meaning in upper.items():
        if meaning and not found[column] and meaning not in found.values():
            found[column] = meaning
    return found


def _headings(grid: Grid, number: int, above: int | None, top: int | None) -> dict[int, str]:
    """By column the heading that a row makes with the one or two above it, where those are rows of headings too."""
    found: dict[int, str] = {}
    wide = max(len(grid.rows[number]), 0 if above is None else len(grid.rows[above]))
    upper = [] if above is None else [grid.get(above, c) for c in range(wide)]
    is_title = len({text for text in upper if text}) < _LEAST_KNOWN
    # a heading of the first of three rows alone, as of a column of revisions, at the side of the others
    has_groups = top is not None and len({text for text in grid.rows[top] if text}) > _LEAST_KNOWN and not is_title
    for c in range(wide + has_groups):
        own = grid.get(number, c)
        over = "" if is_title or above is None else grid.get(above, c)
        group = "" if top is None or is_title else grid.get(top, c)
        if own and over and own != over and _is_one_heading(over, own):
            found[c] = f"{over} {own}"
        elif own == over and own and group and not meaning_of(own) and not any(ch.isdigit() for ch in group):
            found[c] = f"{group} {own}"
        elif own or over:
            found[c] = own or over
        elif group and has_groups:
            found[c] = group
    return found


def _is_one_heading(over: str, own: str) -> bool:
    """Whether a heading and the one above it are to be read as one: `No.` below `Room` is no door's number."""
    meant, group = meaning_of(own), meaning_of(over)
    if not group or own.casefold() in UNITS_M:
        return True
    return meaning_of(f"{over} {own}") != "" if not meant else meant == "mark" and group != "mark"


def _meanings(headings: Mapping[int, str], columns: Mapping[str, str]) -> dict[int, str]:
    stated = {" ".join(name.split()).casefold(): meaning for name, meaning in columns.items()}
    found: dict[int, str] = {}
    taken: set[str] = set()
    for column, heading in headings.items():
        folded = heading.casefold()
        last = heading.split(" ")[-1] if " " in heading else heading
        meaning = stated.get(folded) or stated.get(last.casefold()) or meaning_of(heading) or ""
        if not meaning and " " in heading:
            # 'Door Width' of two rows is one heading; of 'Leaf' over 'Width' the lower tells, unless it is a frame's.
            meaning = (
                meaning_of(" ".join(heading.split(" ")[1:])) if meaning_of(f"door {heading.split(' ')[-1]}") else ""
            )
            meaning = "" if any(word in folded for word in ("frame", "glaz", "louv", "lite", "threshold")) else meaning
            # a number of a room, a detail or a finish is no door's
            meaning = "" if meaning == "mark" and meaning_of(heading.split(" ")[0]) != "mark" else meaning
        if meaning in taken and not meaning.startswith("hardware:") and meaning not in ("remarks", "ignore"):
            meaning = ""
        taken.add(meaning)
        found[column] = meaning
    if "mark" not in taken and len(taken) > _LEAST_KNOWN:
        faint = next((c for c, heading in headings.items() if not found[c] and may_be_mark(heading)), None)
        found.update({} if faint is None else {faint: "mark"})
    return found


def _without_doubles(heads: Mapping[int, _Head], header_row: int | None) -> Iterator[tuple[int, _Head]]:
    """Of heading rows that touch, the one that means most: the upper of two is its group's names."""
    if header_row is not None and header_row in heads:
        heads = {n: head for n, head in heads.items() if n == header_row or (head[3] and n > header_row)}
    ordered = sorted(heads)
    for n in ordered:
        near = [m for m in ordered if abs(m - n) == 1]
        if all(heads[n][2] > heads[m][2] or (heads[n][2] == heads[m][2] and n > m) for m in near):
            yield n, heads[n]


def _cut(grid: Grid, numbers: Sequence[int], heads: Mapping[int, _Head]) -> Iterator[ListBlock]:
    """The rows below each heading, up to the next one that is another."""
    current: tuple[int, _Head] | None = None
    rows: list[int] = []
    repeated: list[int] = []
    for number in numbers:
        if current is not None and _repeats(grid, current[0], number):
            repeated.append(number)
        elif number in heads:
            if current is not None:
                yield _block(grid, current, rows, repeated)
            current, rows, repeated = (number, heads[number]), [], []
        elif current is not None:
            rows.append(number)
    if current is not None:
        yield _block(grid, current, rows, repeated)


def _repeats(grid: Grid, head: int, number: int) -> bool:
    """Whether a row says again what a heading's row does, or one of the two above it with those below that again."""
    begins = next(filter(None, grid.rows[number]), "").casefold()
    # of nearly every row, which is a door's, its mark tells that it is none
    if all(begins != text.casefold() for up in range(_HEAD_ROWS) for text in grid.rows.get(head - up, ())):
        return False
    return any(all(_same(grid, head - n, number + up - n) for n in range(up + 1)) for up in range(_HEAD_ROWS))


def _same(grid: Grid, one: int, other: int) -> bool:
    """Whether two rows say the same; a cell may be merged in one of them alone."""
    first, second = ([text.casefold() for text in grid.rows.get(row, [])] for row in (one, other))
    return (
        len({text for text in first if text}) >= _LEAST_KNOWN
        and {text for text in first if text} == {text for text in second if text}
        and all(a == b for a, b in zip(first, second, strict=False) if a and b)
    )


def _block(grid: Grid, head: tuple[int, _Head], rows: list[int], repeated: list[int]) -> ListBlock:
    number, (headings, known, _, is_sets) = head
    meanings: Mapping[int, str] = known
    if not is_sets:
        _width_first(grid, headings, known, rows)
        meanings = _with_items(grid, headings, _feet_and_inches(grid, headings, meanings, rows), rows)
    again = tuple(say_again(grid, meanings, rows))
    for column, heading in headings.items():
        if meanings[column]:
            continue
        texts = [text for row in rows if (text := grid.get(row, column))]
        if speaks_of_hardware(heading):
            if any(map(is_yes, texts)) and all(is_yes(text) or is_nothing(text) for text in texts):
                meanings = {**meanings, column: "hardware:ticked"}
            elif any(map(_speaks_of_a_device, texts)):
                # such as `Strike at main door` over `24 V fail secure`
                meanings = {**meanings, column: "hardware"}
        elif any(map(fail_mode_of, texts)) and all(fail_mode_of(text) or is_nothing(text) for text in texts):
            # such as `Mode`, which means something else in the next list
            meanings = {**meanings, column: "fail_mode"}
    return ListBlock(number, headings, meanings, tuple(rows), tuple(repeated), is_sets, again)


def _speaks_of_a_device(text: str) -> bool:
    """Whether a cell below the name of a device says which it is, and no place in a detail."""
    return speaks_of_hardware(text) or bool(
        fail_mode_of(text) or (voltage_of(text) and re.search(r"\d\s*v", text, re.IGNORECASE))
    )


def _with_items(
    grid: Grid, headings: Mapping[int, str], meanings: Mapping[int, str], rows: Sequence[int]
) -> dict[int, str]:
    """The meanings, where each row has an item of hardware; the number of pieces beside it becomes part of its words."""
    # of rows that are numbered under `Item` the number is no hardware
    items = [c for c, heading in headings.items() if not meanings[c] and is_item_heading(heading)
             and not all(grid.get(row, c).strip(".").isdigit() for row in rows)]  # fmt: skip
    if len(items) != 1:
        return dict(meanings)
    found = {**meanings, items[0]: "hardware"}
    for count in [c for c, meaning in meanings.items() if meaning == "pieces"]:
        found[count] = "ignore"
        for row in rows:
            if (item := grid.get(row, items[0])) and (pieces := grid.get(row, count)):
                grid.rows[row][items[0]] = f"{pieces} x {item}"
    return found


def _width_first(grid: Grid, headings: Mapping[int, str], meanings: Mapping[int, str], rows: Sequence[int]) -> None:
    """Write sizes whose heading says that the height stands first the other way around."""
    for column, heading in headings.items():
        if meanings[column] == "size" and _HEIGHT_FIRST.search(heading):
            for row in rows:
                parts = re.split(r"\s*[x×]\s*", grid.get(row, column), flags=re.IGNORECASE)
                if len(parts) > 1:
                    grid.rows[row][column] = " x ".join((parts[1], parts[0], *parts[2:]))


def _feet_and_inches(
    grid: Grid, headings: Mapping[int, str], meanings: Mapping[int, str], rows: Sequence[int]
) -> dict[int, str]:
    """The meanings; of a length whose inches stand in a column beside its feet, the cells are made one."""
    found = dict(meanings)
    for column, heading in headings.items():
        beside = headings.get(column + 1, "")
        unit = unit_of_heading(beside) or beside.casefold().strip("().")
        if not meanings[column].endswith("_m") or not unit_of_heading(heading).startswith(("ft", "feet")):
            continue
        if not unit.startswith("in") or meanings[column + 1] not in ("", meanings[column]):
            continue
        found[column + 1] = "ignore"
        for row in rows:
            feet, inches = grid.get(row, column), grid.get(row, column + 1)
            if feet and inches:
                grid.rows[row][column] = f"{feet.rstrip(chr(39))}' {inches.rstrip(chr(34))}\""
            elif inches:
                grid.rows[row][column] = f'{inches.rstrip(chr(34))}"'
    return found


def set_column(block: ListBlock) -> int | None:
    """Of a table of hardware sets the column that names the set."""
    return next((c for c, heading in block.headings.items() if is_set_heading(heading)), None)
