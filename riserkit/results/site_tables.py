"""Every table that is written for a site, and those of them that are drawn on sheets too."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from riserkit.checked import Checked
from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.schedules.sheets import as_drawn, heading_text
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.reports.materials.site import door_materials_table, site_materials_table
from riserkit.reports.returned import returned_tables
from riserkit.reports.schedules.site import all_schedules
from riserkit.reports.table import ReportTable, drawn_text
from riserkit.reports.test_sheet import site_test_table

SCHEDULE_SHEETS: Final = {
    "openings": "Schedule of openings",
    "horizontal_cables": "Schedule of horizontal cables",
    "backbone_cables": "Schedule of backbone cables",
    "lock_power_cables": "Schedule of cables for lock power",
    "device_cables": "Schedule of cables at doors",
    "conductors": "Schedule of conductors",
    "spare_conductors": "Schedule of spare conductors",
    "switch_ports": "Schedule of switch ports",
    "supplies": "Schedule of supplies",
    "materials": "Materials of the site",
    "test_sheets": "Test sheets of the openings",
    "differences": "As built: register of differences",
    "cable_test_results": "As built: cable tests",
    "devices_fitted": "As built: devices as fitted",
    "equipment_fitted": "As built: switches, UPSes and supplies",
}
"""Tables that are drawn on sheets too, with their titles there."""
_BY_MARK: Final = frozenset({"openings", "horizontal_cables", "device_cables", "conductors", "spare_conductors"})


def site_tables(checked: Checked, tests: Mapping[str, DoorTest] | None = None) -> tuple[ReportTable, ...]:
    """Every table that is written for a site, findings left out.

    Args:
        checked: the site with its findings.
        tests: `door_tests` of the design, where they are known.
    """
    design, holds = checked.design, checked.holds
    return (
        *all_schedules(checked),
        site_materials_table(design, holds),
        door_materials_table(design, holds),
        site_test_table(design, holds, tests),
        *returned_tables(design),
    )


def sheet_tables(
    tables: Iterable[ReportTable],
    own_sheets: Collection[str] = (),
    words: Mapping[str, Mapping[str, str]] = MappingProxyType({}),
) -> tuple[Table, ...]:
    """Those tables that are drawn on sheets too, as text, in the order that the sheets have them.

    Args:
        tables: as written.
        own_sheets: marks of openings that have sheets of their own, where their tests stand.
        words: by column what is printed in place of an id.
    """
    found = {table.name: _without_tests(table, own_sheets) for table in tables}
    return tuple(
        as_drawn(
            Table(
                title,
                columns_of([heading_text(column) for column in found[name].columns]),
                tuple(
                    tuple(
                        words.get(column, {}).get(text := drawn_text(cell), text)
                        for column, cell in zip(found[name].columns, row, strict=True)
                    )
                    for row in found[name].rows
                ),
                held=found[name].held,
                name=name,
            ),
            sorted_by_mark=name in _BY_MARK,
        )
        for name, title in SCHEDULE_SHEETS.items()
        if name in found
    )


def _without_tests(table: ReportTable, own_sheets: Collection[str]) -> ReportTable:
    if table.name != "test_sheets" or not own_sheets:
        return table
    kept = [n for n, row in enumerate(table.rows) if row[0] not in own_sheets]
    # cautions at the end are for readings, and there may be none
    kept = kept if any(table.rows[n][0] for n in kept) else []
    held = tuple(table.held[n] for n in kept) if table.held else ()
    return replace(table, rows=tuple(table.rows[n] for n in kept), held=held)
