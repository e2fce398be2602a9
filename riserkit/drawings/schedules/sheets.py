"""Schedules as tables on sheets T-651 and on, which leaves T-601 to T-650 to the riser diagram. Issued numbers are kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from typing import Final, NamedTuple

from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.text import shown_text
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas, sheet_sizes_of, stamped
from riserkit.drawings.setting.listings import PlacedTable, draw_tables, flow_tables, has_hold
from riserkit.drawings.setting.numbers import sheet_numbers
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table, columns_of, lay_out
from riserkit.model.site import Site
from riserkit.quantities.natural_order import natural_order
from riserkit.quantities.printed import upper_first
from riserkit.standards.sheets import numbered_sheet_id

FIRST: Final = 51
"""Number of the first sheet of schedules among the sheets of type 6."""
_FEW_SHEETS: Final = 4
_SCHEDULE_OF: Final = "Schedule of "
_MOST_COLUMN_MM: Final = 70.0
_KNOWN_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "conductors": ("Opening", "From", "To"),
    "device_cables": ("Opening", "Serves", "From", "To"),
    "lock_power_cables": ("From supply", "To opening"),
    "materials": ("Kind", "Item", "Description"),
    "spare_conductors": ("Opening", "Cable", "Colour"),
    "switch_ports": ("Closet", "Switch", "Port"),
    "test_sheets": ("Opening", "What", "Red lead", "Black lead", "State"),
}
"""Columns by which a row is known where its first cell will not do."""
_UNITS: Final = frozenset({"v", "a", "w"})
_WRITTEN: Final = {"poe": "PoE", "ups": "UPS", "id": "ID"}


@dataclass(frozen=True)
class Schedules:
    """All schedules of a set placed on their sheets."""

    site: Site
    frame: SheetFrame
    pages: tuple[tuple[PlacedTable, ...], ...]
    titles: tuple[str, ...]
    info: DrawingInfo
    subjects: tuple[str, ...] = ()
    numbers: tuple[int, ...] = ()

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order."""
        return tuple(numbered_sheet_id("6", number) for number in self.numbers)

    def on_record(self, number: int) -> str:
        """What the record of issued labels calls a sheet, from 0."""
        return self.subjects[number]

    def title(self, number: int) -> str:
        """Title of a sheet, from 0: the schedules that stand on it."""
        return self.titles[number]

    def shown(self, number: int) -> tuple[SheetFrame, tuple[PlacedTable, ...]]:
        """All that a sheet is drawn from, from 0, besides the facts that the sheets of a set share.

        How much is left for later sheets is left out.
        """
        page = self.pages[number]
        title = set_title(self.site, self.sheet_ids[number], self.title(number), "Schedules")
        placed = tuple(replace(one, table=replace(one.table, rest=0)) for one in page)
        return replace(self.frame, title=stamped(title, held=has_hold(page))), placed


def heading_text(column: str) -> str:
    """A column's name as a heading: units and letters of the trade as they are written.

    Examples:
        >>> heading_text("output_v"), heading_text("poe_class"), heading_text("of_which_slack_m")
        ('Output V', 'PoE class', 'Of which slack m')
    """
    first, *rest = column.split("_")
    words = [_WRITTEN.get(first, upper_first(first)), *(_WRITTEN.get(word, word) for word in rest)]
    if rest and rest[-1] in _UNITS:
        words[-1] = rest[-1].upper()
    return " ".join(words)


def as_drawn(table: Table, *, sorted_by_mark: bool) -> Table:
    """A table as it stands on a sheet: without a column that repeats the one before it, by marks where asked."""
    twins = [
        n
        for n in range(1, len(table.columns))
        if table.rows and all(row[n] == row[n - 1] and row[n] for row in table.rows)
    ]
    order = list(range(len(table.rows)))
    if sorted_by_mark:
        order.sort(key=lambda n: natural_order(table.rows[n][0]))
    kept = [n for n in range(len(table.columns)) if n not in twins]
    return replace(
        table,
        columns=tuple(table.columns[n] for n in kept),
        rows=tuple(tuple(table.rows[row][n] for n in kept) for row in order),
        held=tuple(table.held[n] for n in order) if table.held else (),
    )


def plan_schedules(site: Site, tables: Sequence[Table], info: DrawingInfo = NO_INFO) -> Schedules:
    """Set tables one after the other on sheets, split where the room ends; tables without rows are left out.

    The smallest size that takes few sheets is chosen, else the largest.

    Raises:
        SheetError: a table has more columns than the largest sheet can set beside one another.
    """
    filled = [table for table in tables if table.rows]
    title = set_title(site, numbered_sheet_id("6", FIRST), "Schedules", "Schedules")
    frame, pages = table_pages(filled, set_frames(site, sheet_sizes_of(site.info), title), _FEW_SHEETS)
    named = {table.name: table.title for table in filled}
    subjects = _subjects(pages)
    numbers = sheet_numbers(site, "6", subjects, FIRST)
    order = sorted(range(len(pages)), key=lambda n: numbers[n])
    return Schedules(
        site,
        frame,
        tuple(pages[n] for n in order),
        tuple(_title(pages[n], named) for n in order),
        info,
        tuple(subjects[n] for n in order),
        tuple(sorted(numbers)),
    )


def draw_schedule_sheet(schedules: Schedules, number: int) -> Canvas:
    """Draw one sheet.

    Args:
        schedules: planned.
        number: which, from 0.
    """
    frame, tables = schedules.shown(number)
    canvas = sheet_canvas(schedules.site, frame, schedules.info)
    frame.draw(canvas)
    draw_tables(canvas, tables)
    return canvas


class TablePages(NamedTuple):
    """Tables set on sheets of one size."""

    frame: SheetFrame
    pages: tuple[tuple[PlacedTable, ...], ...]


def table_pages(tables: Sequence[Table], frames: Sequence[SheetFrame], few: int | None = None) -> TablePages:
    """Tables on sheets of the first size whose width takes them as they ask to be, else squeezed on the last.

    Args:
        tables: to be set.
        frames: of the sizes, in the order in which they are tried.
        few: sheets, more of which a later size may do without.

    Raises:
        SheetError: a table has a row that is higher than the sheet, or columns that it cannot set side by side.
    """
    asked = tuple(_AskedTable(table) for table in tables)
    for frame in frames[:-1]:
        if all(one.width_mm <= frame.inner.width for one in asked):
            pages = tuple(islice(_pages(asked, frame), None if few is None else few + 1))
            if few is None or len(pages) <= few:
                return TablePages(frame, pages)
    return TablePages(frames[-1], tuple(_pages(asked, frames[-1])))


def _pages(asked: Sequence[_AskedTable], frame: SheetFrame) -> Iterator[tuple[PlacedTable, ...]]:
    """Tables sheet by sheet, all of one size."""
    room = frame.inner
    rest = tuple(one.sized(room.width) for one in asked)
    while rest:
        flow = flow_tables(rest, room, frame.corner, breaks_alike=True)
        if not flow.placed:
            raise SheetError(f"the schedule {rest[0].title!r} does not go on {frame.size.name}; ask for a larger sheet")
        yield flow.placed
        rest = flow.rest


@dataclass(frozen=True)
class _AskedTable:
    """A table with what is the same of it on every size of sheet."""

    table: Table

    @cached_property
    def _free(self) -> Table:
        columns = tuple(replace(column, max_width_mm=_MOST_COLUMN_MM) for column in self.table.columns)
        return replace(self.table, columns=columns)

    @cached_property
    def _widths_mm(self) -> tuple[float, ...]:
        """What the whole text of each column asks for."""
        return lay_out(self._free, width_mm=10_000.0, height_mm=0.0).widths_mm

    @property
    def width_mm(self) -> float:
        """What its whole text asks for."""
        return sum(self._widths_mm)

    @cached_property
    def _known(self) -> Table:
        subjects = tuple(f"table:{self.table.name}/{shown_text(row[0])[:80] or '-'}" for row in self.table.rows)
        return replace(self.table, subjects=subjects, keys=_row_keys(self.table))

    def sized(self, width_mm: float) -> Table:
        """With the widths that its whole text asks for, squeezed into the room, so that all its parts are alike."""
        widths = self._widths_mm
        if self.width_mm > width_mm:
            widths = lay_out(self._free, width_mm=width_mm, height_mm=0.0).widths_mm
        return replace(self._known, columns=columns_of(self.table.headers, widths))


def _row_keys(table: Table) -> tuple[str, ...]:
    """What each row is known by, whatever its number."""
    named = [n for n, header in enumerate(table.headers) if header in _KNOWN_BY.get(table.name, ())] or [0]
    return tuple(" ".join(row[n] for n in named) for row in table.rows)


def _subjects(pages: Sequence[Sequence[PlacedTable]]) -> tuple[str, ...]:
    """What each sheet's number stays with: the table that stands first on it, and which of its sheets that is."""
    found: list[str] = []
    for page in pages:
        first = f"schedule {page[0].table.name or page[0].table.called}"
        found.append(f"{first} {sum(subject.rpartition(' ')[0] == first for subject in found) + 1}")
    return tuple(found)


def _title(page: Sequence[PlacedTable], named: Mapping[str, str]) -> str:
    """The tables on a sheet by their whole titles; a drawn title may have been cut to its table's width."""
    titles = list(dict.fromkeys(named[placed.table.name] for placed in page))
    if len(titles) == 1:
        return titles[0]
    told = [title.removeprefix(_SCHEDULE_OF) for title in titles]
    return f"Schedules: {', '.join(f'{word[:1].lower()}{word[1:]}' for word in told)}"
