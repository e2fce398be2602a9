"""Schedules whose last column says which openings are on HOLD."""

from __future__ import annotations

from collections.abc import Iterable

from riserkit.holds import Holds
from riserkit.reports.table import Cell, ReportTable


def held_table(
    name: str, columns: tuple[str, ...], rows: Iterable[tuple[str, tuple[Cell, ...]]], holds: Holds
) -> ReportTable:
    """A table of rows, each given with the mark of its opening."""
    given = tuple(rows)
    cells = tuple((*row, holds.words(mark)) for mark, row in given)
    return ReportTable(name, (*columns, "hold"), cells, tuple(mark in holds for mark, _ in given))
