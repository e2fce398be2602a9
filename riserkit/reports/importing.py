"""The report of an import on the console: what waits for an answer first, what was found last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from riserkit.importing.report import KINDS, ReportLine
from riserkit.quantities.natural_order import runs
from riserkit.reports.printing import wide_console

_MOST_LINES: Final = 20
_TITLES: Final = {
    "question": "To be answered", "conflict": "Changed by you and by the document: yours stays",
    "missing": "No longer in the documents", "renamed": "Renamed", "moved": "Moved", "widened": "Another width",
    "changed": "Changed", "new": "New", "back": "Found again", "kept": "Yours, where the document says otherwise",
    "taken out": "Taken out by you", "left out": "Left out", "left": "Not understood, or left", "inferred": "Inferred",
    "proposal": "Proposed, not added", "found": "Found",
}  # fmt: skip


def print_import(
    lines: Sequence[ReportLine], files: Sequence[str], site: Path, problems: Sequence[str], *, dry_run: bool
) -> None:
    """Print the report of an import.

    Args:
        lines: the whole report.
        files: written, or to be written.
        site: the folder imported into.
        problems: why the site cannot be checked yet.
        dry_run: nothing was written.
    """
    console = wide_console()
    for kind in KINDS:
        of_kind = [line for line in lines if line.kind == kind]
        if not of_kind:
            continue
        console.print(f"{_TITLES[kind]}:", style="bold")
        for text in _GROUPED.get(kind, _listed)(of_kind):
            console.print(f"  {text}", soft_wrap=True, markup=False)
    if problems:
        console.print("Before riserkit check can read the site:", style="bold")
        for problem in problems[:_MOST_LINES]:
            console.print(f"  {problem}", soft_wrap=True, markup=False)
        if len(problems) > _MOST_LINES:
            console.print(f"  and {len(problems) - _MOST_LINES} more")
    tables = [name for name in files if "/" not in name]
    if dry_run:
        console.print(f"Nothing was written. Would change: {', '.join(tables) or 'no table'}.", soft_wrap=True)
    else:
        console.print(
            f"Written into {site}: {', '.join(tables) or 'no table changed'}. Every line of this report: {site / 'import' / 'report.csv'}",
            soft_wrap=True,
        )


def _listed(lines: Sequence[ReportLine]) -> list[str]:
    texts = []
    for line in lines[:_MOST_LINES]:
        at = f" [{line.at}]" if line.at and line.kind not in ("found",) else ""
        remedy = (
            f" ({line.remedy})" if line.remedy and line.kind in ("question", "left", "left out", "inferred") else ""
        )
        texts.append(f"{line.text}{at}{remedy}")
    if len(lines) > _MOST_LINES:
        texts.append(f"and {len(lines) - _MOST_LINES} more, in report.csv")
    return texts


def _inferences(lines: Sequence[ReportLine]) -> list[str]:
    """Whole documents' inferences one by one, those of cells by column and reason."""
    texts = _listed([line for line in lines if not line.column])
    count: Counter[tuple[str, str, str]] = Counter()
    first: dict[tuple[str, str, str], str] = {}
    for line in lines:
        if line.column:
            reason = line.inferred_from if line.inferred_from.count(" ") < 24 else line.inferred_from[:120]
            key = line.table, line.column, _general(reason, line)
            count[key] += 1
            first.setdefault(key, f"{line.row}: {line.value}")
    for key, number in count.most_common(_MOST_LINES):
        table, column, reason = key
        texts.append(
            f"{table}.{column} of {number} {'row' if number == 1 else 'rows'}, from {reason} (such as {first[key]})"
        )
    if len(count) > _MOST_LINES:
        texts.append(f"and {len(count) - _MOST_LINES} more kinds, in report.csv")
    return texts


def _by_table(lines: Sequence[ReportLine]) -> list[str]:
    """Rows by table, names that count on as a range."""
    tables = dict.fromkeys(line.table for line in lines)
    texts = []
    for table in tables:
        rows = [line.row for line in lines if line.table == table]
        names = runs(list(dict.fromkeys(rows)))
        more = ", ..." if len(names) > _MOST_LINES else ""
        texts.append(f"{table}: {len(rows)} ({', '.join(names[:_MOST_LINES])}{more})")
    return texts


def _changes(lines: Sequence[ReportLine]) -> list[str]:
    """Changes one by one, but for walls, which have no name that a reader would know."""
    walls = Counter(line.text.split(":")[0] for line in lines if line.table == "walls")
    texts = [
        f"{name}: {count} {'outline is' if count == 1 else 'outlines are'} no longer in the documents as they were"
        for name, count in walls.items()
    ]
    return [*_listed([line for line in lines if line.table != "walls"]), *texts]


_GROUPED: Final = {"changed": _changes, "inferred": _inferences, "new": _by_table, "left out": _by_table}


def _general(reason: str, line: ReportLine) -> str:
    """A reason without what is of this row only, so that like ones are told once."""
    for own in (line.row, line.value):
        if own and len(own) > 1:
            reason = reason.replace(own, "...")
    return "".join("#" if ch.isdigit() else ch for ch in reason)
