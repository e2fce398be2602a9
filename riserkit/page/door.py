"""A door's page, read off the design and its findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riserkit.design import DoorDesign
from riserkit.drawings.door.built import built_notes, built_tables
from riserkit.drawings.door.detail import door_banner
from riserkit.drawings.door.notes import door_notes
from riserkit.drawings.door.opening_words import size_words
from riserkit.drawings.door.readings import METER_CAUTIONS, NO_TEST, readings_table
from riserkit.drawings.door.tables import (
    cable_table,
    conductor_table,
    opening_table,
    proof_paragraphs,
    spare_table,
    truth_table_text,
)
from riserkit.drawings.setting.table import Table
from riserkit.page.alternatives import alternatives
from riserkit.page.bench import door_bench
from riserkit.page.calculation import calculation
from riserkit.page.findings import margins
from riserkit.page.values import DoorPage, DoorStatus, FindingView, PageNotice, PageTable, Rows, SheetView
from riserkit.page.work import PageWork
from riserkit.quantities.printed import format_length
from riserkit.reports.materials.site import PRACTICE, door_materials, not_counted
from riserkit.reports.materials.values import METRES


def door_page(
    work: PageWork,
    door: DoorDesign,
    *,
    status: DoorStatus,
    findings: Sequence[FindingView],
    sheets: Sequence[SheetView],
    more_sheets: Rows,
    neighbours: Rows,
) -> DoorPage:
    """The page of one door of a site.

    Args:
        work: the site.
        door: the opening, one of its design.
        status: how it stands.
        findings: about it, that do not pass.
        sheets: its own, drawn.
        more_sheets: file and title of other sheets that show it.
        neighbours: word, file and title of the pages before and after.
    """
    test = work.tests.get(door.mark, NO_TEST)
    return DoorPage(
        mark=door.mark, title=door.opening.name, facts=tuple(_facts(work, door)), notices=tuple(_notices(work, door)),
        status=status, findings=tuple(findings), sheets=tuple(sheets), more_sheets=more_sheets,
        margins=margins(work, door.mark), calculation=calculation(work.design, door), proof=tuple(proof_paragraphs(door)),
        alternatives=alternatives(door.wiring, work.judged.get(door.mark)),
        wiring=tuple(map(page_table, _wiring(work, door))), materials=_materials(work, door),
        readings=page_table(readings_table(test)) if test.readings else None,
        reading_notes=(*test.notes, *(METER_CAUTIONS if test.readings else ())),
        notes=(*door_notes(work.design, door), *built_notes(work.design, door)), neighbours=neighbours,
        bench=door_bench(door),
    )  # fmt: skip


def page_table(table: Table) -> PageTable:
    """A table of a sheet as one of a page."""
    return PageTable(table.title, tuple(column.header for column in table.columns), table.rows)


def _notices(work: PageWork, door: DoorDesign) -> Iterator[PageNotice]:
    banner = door_banner(work.design, door, work.findings_of.get(door.mark, ()))
    if banner is not None:
        hold = work.holds.held.get(door.mark)
        shown = hold.sheet_id if hold is not None else ""
        yield PageNotice(banner.heading, (banner.words,), banner.hold, shown)
    elif words := work.holds.words(door.mark):
        yield PageNotice("Accepted error", (words,))
    if changed := work.changed.get(door.mark):
        yield PageNotice("Changed since the last issue", (f"{changed}. Ask for an issued document before work.",))


def _facts(work: PageWork, door: DoorDesign) -> Iterator[tuple[str, str]]:
    units = work.design.site.info.unit_system
    drawn = door.wiring.drawn
    yield "Wiring", drawn.title if drawn else "none designed"
    yield from opening_table(work.design, door).rows  # type: ignore[misc]
    yield "Door", size_words(door.opening, units, unit=True)


def _wiring(work: PageWork, door: DoorDesign) -> Iterator[Table]:
    netlist, units = door.wiring.netlist, work.design.site.info.unit_system
    if netlist is not None and netlist.conductors:
        yield conductor_table(door, netlist, units)
        yield cable_table(door, netlist, units)
        if netlist.spares:
            yield spare_table(netlist)
    truth = truth_table_text(door)
    if truth is not None:
        yield truth
    yield from (table for _, table in built_tables(work.design, door))


def _materials(work: PageWork, door: DoorDesign) -> PageTable | None:
    units = work.design.site.info.unit_system
    rows = tuple(
        (format_length(quantity, units) if line.unit == METRES else f"{round(quantity)}", line.description, line.item, line.note)
        for line, quantity in door_materials(work.design, door).items()
    )  # fmt: skip
    caption = " ".join(filter(None, (not_counted(door), PRACTICE)))
    return PageTable(caption, ("Quantity", "What", "Id", "Note"), rows) if rows else None
