"""What the commands say of what they have written."""

from __future__ import annotations

from pathlib import Path

from rich.markup import escape
from rich.table import Table as RichTable

from riserkit.quantities.counting import counted
from riserkit.reports.console import print_findings
from riserkit.reports.printing import wide_console
from riserkit.results.build import Built
from riserkit.results.field import FieldFiles
from riserkit.results.keep_edits import Rebuilt


def print_build(built: Built, output: Path) -> None:
    """What was found and what was written."""
    print_findings(built.checked.design.site, built.checked.findings)
    if built.rebuilt is not None:
        print_rebuilt(built.rebuilt)
    failed = f", {built.not_drawn} of the sheets NOT DRAWN" if built.not_drawn else ""
    if built.gone:
        wide_console().print(f"No longer in the set, and removed: {escape(', '.join(built.gone))}", style="bold")
    wide_console().print(f"{built.sheets} sheets and {built.tables} tables written to {escape(str(output))}{failed}")
    if built.papers is not None:
        print_papers(built.papers, output)
    if built.first is not None:
        wide_console().print(f"Open first: {escape(str(built.first))}")


def print_papers(files: FieldFiles, output: Path) -> None:
    """How many papers for the crew were written, and which could not be made."""
    console = wide_console()
    console.print(
        f"Packets of {counted(files.doors, 'door')} and {counted(files.closets, 'closet')}, lists, labels and workbook written to "
        f"{escape(str(output))}"
    )
    if files.failed:
        console.print(f"NOT MADE, and the packet says so: {escape(', '.join(files.failed))}", style="bold")


def print_page(doors: int, output: Path) -> None:
    """How many doors have a page, and which file to open."""
    wide_console().print(f"Page of {counted(doors, 'door')} written. Open first: {escape(str(output / 'index.html'))}")


def print_lessons(lessons: int, output: Path) -> None:
    """How many lessons were written, and which file to open."""
    wide_console().print(f"{counted(lessons, 'lesson')} written. Open first: {escape(str(output / 'lessons.html'))}")


def print_reference(arrangements: int, doors: int, sheets: int, output: Path) -> None:
    """How much a reference set has."""
    said = f"{counted(arrangements, 'arrangement')}, {counted(doors, 'suitable variant')}, {counted(sheets, 'sheet')} written"
    wide_console().print(
        f"Reference set: {said} to {escape(str(output))}. For reference, not for construction at a particular door."
    )


def print_rebuilt(rebuilt: Rebuilt) -> None:
    """What building into edited results kept, replaced, added and removed, and a line for each thing of a drafter's."""
    console = wide_console()
    if rebuilt.merges:
        table = RichTable(box=None, pad_edge=False, header_style="bold")
        for column in ("sheet", "kept", "unchanged", "replaced", "added", "removed", "deleted by hand", "conflicts"):
            table.add_column(column, justify="left" if column == "sheet" else "right")
        for m in rebuilt.merges:
            counts = (m.kept, m.unchanged, m.replaced, m.added, m.removed, m.deleted, m.conflicts)
            table.add_row(escape(m.sheet), *map(str, counts), style="bold" if m.conflicts else "")
        console.print(table)
    for file, note in [
        *((m.sheet, n) for m in rebuilt.merges for n in m.notes),
        *((n.subject, n) for n in rebuilt.files),
    ]:
        word = "conflict" if note.is_conflict else note.kind
        about = f" ({note.subject})" if note.subject not in ("", file) else ""
        console.print(f"{word}: {escape(f'{file}{about}: {note.text}')}", style="bold" if note.is_conflict else "")
    console.print(
        f"Edited sheets {len(rebuilt.merges)}, conflicts {rebuilt.conflicts}; other sheets: {rebuilt.drawn} drawn, "
        f"{rebuilt.stood} unchanged, {rebuilt.removed} removed"
    )
