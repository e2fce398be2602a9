"""What an import found, inferred, left and asks: one list of lines, from which console, table and JSON are made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.facts import Facts
from riserkit.importing.merge import Merged, RowChange
from riserkit.importing.rows import Imported

# in the order in which people want them
KINDS: Final = (
    "question", "conflict", "missing", "renamed", "moved", "widened", "changed", "new", "back", "kept", "taken out",
    "left out", "left", "inferred", "proposal", "found",
)  # fmt: skip
OPEN: Final = frozenset({"question", "conflict"})
"""What waits for an answer."""
_CHANGE_REMEDY: Final = {
    "conflict": "keep yours, or write the document's value into the table; it is not asked again until the document changes",
    "missing": "take the row out if it is gone",
    "taken out": "write the row anew to have it back; it stays out",
    "left out": "on no list: state it in the list, or move its row from left-out.csv",
}


@dataclass(frozen=True, slots=True)
class ReportLine:
    """One line of the report.

    Args of note:
        kind: one of `KINDS`.
        at: where in the documents.
        inferred_from: of an inferred value.
        yours: what stands in the table where that differs.
    """

    kind: str
    text: str
    at: str = ""
    table: str = ""
    row: str = ""
    column: str = ""
    value: str = ""
    was: str = ""
    yours: str = ""
    inferred_from: str = ""
    remedy: str = ""


def report_lines(documents: Sequence[Facts], imported: Imported, merged: Merged) -> tuple[ReportLine, ...]:
    """Every line of the report, those that wait for an answer first."""
    lines = (
        *_found(documents), *_notes(imported), *_inferred(imported), *map(_change, merged.changes), *_proposals(imported),
        *_placeless(imported, merged),
    )  # fmt: skip
    return tuple(sorted(dict.fromkeys(lines), key=lambda line: KINDS.index(line.kind)))


def _found(documents: Sequence[Facts]) -> Iterator[ReportLine]:
    for facts in documents:
        counts = (
            ("levels", len(facts.levels)), ("rooms", len(facts.rooms)), ("walls", len(facts.walls)), ("doors", len(facts.doors)),
            ("pathways", len(facts.pathways)), ("hardware sets", len(facts.sets)),
        )  # fmt: skip
        said = ", ".join(f"{count} {name}" for name, count in counts if count) or "nothing that a site takes"
        yield ReportLine("found", f"{facts.document}: {said}", facts.document)


def _notes(imported: Imported) -> Iterator[ReportLine]:
    for note in imported.notes:
        yield ReportLine(note.severity, note.text, str(note.at), remedy=note.remedy)


def _inferred(imported: Imported) -> Iterator[ReportLine]:
    for table, rows in imported.tables.items():
        for row in rows:
            for column, cell in row.cells.items():
                if cell.why:
                    value = cell.text if len(cell.text) <= 60 else f"{cell.text[:60]}..."
                    text = f"{table} {row.key}: {column} {value}, from {cell.why}"
                    yield ReportLine(
                        "inferred", text, str(cell.at), table, row.key, column, value, inferred_from=cell.why,
                        remedy=f"correct {column} in {table}.csv",
                    )  # fmt: skip


def _change(change: RowChange) -> ReportLine:
    where = f"{change.table} {change.key}"
    short = {name: text if len(text) <= 60 else f"{text[:60]}..." for name, text in
             (("was", change.was), ("yours", change.yours), ("now", change.now))}  # fmt: skip
    text = {
        "conflict": f"{where}: {change.column} is {short['yours'] or 'empty'} in your table, {short['now']} in the document"
                    + (f" (it was {short['was']})" if change.was else ""),
        "kept": f"{where}: {change.column} stays {short['yours'] or 'empty'} as you have it; the document says {short['now']}",
        "missing": f"{where}: no longer in {change.at}; it stays and is marked",
        "back": f"{where}: in the documents again",
        "taken out": f"{where}: you have taken it out; the documents still have it",
        "left out": f"{where}: drawn, but on no list",
        "new": f"{where}: new",
    }.get(change.kind, f"{where}: {change.column} {short['was'] or 'empty'} is now {short['now']}")  # fmt: skip
    return ReportLine(
        change.kind, text, change.at, change.table, change.key, change.column, short["now"], short["was"], short["yours"],
        remedy=_CHANGE_REMEDY.get(change.kind, ""),
    )  # fmt: skip


def _proposals(imported: Imported) -> Iterator[ReportLine]:
    for one in imported.proposals:
        row = ",".join(one.cells.values())
        yield ReportLine(
            "proposal", f"{one.table}: {row}", str(one.at), one.table, one.cells["id"], inferred_from=one.why,
            remedy=f"copy the row from proposals.csv to {one.table}.csv if it holds switches",
        )  # fmt: skip


def _placeless(imported: Imported, merged: Merged) -> Iterator[ReportLine]:
    """Openings that neither a document nor the table has a place for."""
    table = merged.tables.get("openings")
    placed = {table.get(row, "mark") for row in table.rows() if table.get(row, "x_m")} if table is not None else set()
    lost = [mark for mark in imported.without_place if mark not in placed]
    if lost:
        names = ", ".join(lost[:8]) + (", ..." if len(lost) > 8 else "")
        yield ReportLine(
            "question", f"{len(lost)} {'opening has' if len(lost) == 1 else 'openings have'} no place: {names}",
            remedy="import a plan or model that shows them, or fill x_m and y_m",
        )  # fmt: skip
