"""Schedules as tables on sheets T-651 and on, which leaves T-601 to T-650 to the riser diagram. Issued numbers are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.text import shown_text
from riserkit.drawings.holds import stamped
from riserkit.drawings.setting.frames import numbered_sheet_id, set_frames, set_title, sheet_canvas, sheet_sizes_of
from riserkit.drawings.setting.listings import PlacedTable, draw_tables, flow_tables, has_hold
from riserkit.drawings.setting.numbers import sheet_numbers
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table, columns_of, lay_out
from riserkit.model.site import Site
from riserkit.quantities.natural_order import natural_order

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
    frame: SheetFrame | None
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
        if self.frame is None:
            raise IndexError("this set has no schedules")
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
    words = [_WRITTEN.get(first, first[:1].upper() + first[1:]), *(_WRITTEN.get(word, word) for word in rest)]
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


def plan_schedules(site: Site, tables: Sequence[Table], info: DrawingInfo | None = None) -> Schedules:
    """Set tables one after the other on sheets, split where the room ends; tables without rows are left out.

    The smallest size that takes few sheets is chosen, else the largest.

    Raises:
        SheetError: a table has more columns than the largest sheet can set beside one another.
    """
    filled = [table for table in tables if table.rows]
    title = set_title(site, numbered_sheet_id("6", FIRST), "Schedules", "Schedules")
    frames = set_frames(site, sheet_sizes_of(site.info), title)
    for frame in frames:
        last = frame is frames[-1]
        pages = table_pages(filled, frame, may_fail=not last, most=None if last else _FEW_SHEETS)
        if pages is not None:
            named = {table.name: table.title for table in filled}
            subjects = _subjects(pages)
            numbers = sheet_numbers(site, "6", subjects, FIRST)
            order = sorted(range(len(pages)), key=lambda n: numbers[n])
            return Schedules(
                site,
                frame,
                tuple(pages[n] for n in order),
                tuple(_title(pages[n], named) for n in order),
                info or DrawingInfo(),
                tuple(subjects[n] for n in order),
                tuple(sorted(numbers)),
            )
    return Schedules(site, None, (), (), info or DrawingInfo())


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


def table_pages(
    tables: Sequence[Table], frame: SheetFrame, *, may_fail: bool, most: int | None = None
) -> tuple[tuple[PlacedTable, ...], ...] | None:
    """Tables on sheets of one size; None when a larger size may do better.

    Args:
        tables: to be set.
        frame: of the size.
        may_fail: a larger size may do without squeezing a table.
        most: sheets, more of which a larger size may do without.

    Raises:
        SheetError: a table has a row that is higher than the sheet, or columns that it cannot set side by side.
    """
    room = frame.areas().content
    room = room._replace(y0=frame.areas("right").content.y0)
    sized = [_sized(table, room.width, may_fail=may_fail) for table in tables]
    rest = tuple(table for table in sized if table is not None)
    if len(rest) < len(tables):
        return None
    pages = []
    while rest:
        flow = flow_tables(rest, room, frame.corner, breaks_alike=True)
        if not flow.placed:
            raise SheetError(f"the schedule {rest[0].title!r} does not go on {frame.size.name}; ask for a larger sheet")
        pages.append(flow.placed)
        if most is not None and len(pages) > most:
            return None
        rest = flow.rest
    return tuple(pages)


def _sized(table: Table, width_mm: float, *, may_fail: bool) -> Table | None:
    """The table with the widths that its whole text asks for, so that all its parts are alike."""
    free = replace(table, columns=tuple(replace(column, max_width_mm=_MOST_COLUMN_MM) for column in table.columns))
    widths = lay_out(free, width_mm=10_000.0, height_mm=0.0).widths_mm
    if sum(widths) > width_mm:
        if may_fail:
            return None
        widths = lay_out(free, width_mm=width_mm, height_mm=0.0).widths_mm
    subjects = tuple(f"table:{table.name}/{shown_text(row[0])[:80] or '-'}" for row in table.rows)
    columns = columns_of(table.headers, widths)
    return replace(table, columns=columns, subjects=subjects, keys=_row_keys(table))


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
