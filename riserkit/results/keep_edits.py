"""Builds into results that a drafter has worked in: which files are whose, what is carried over, and the report of it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Final

from riserkit.drawings.edits.values import Note, SheetMerge
from riserkit.drawings.set.reuse import EarlierSet, link_file
from riserkit.drawings.set.write import SetResult
from riserkit.quantities.natural_order import natural_order
from riserkit.reports.table import ReportTable
from riserkit.results.folder import Found, WrittenFiles

REPORT: Final = "rebuild"
NOTES: Final = "rebuild_notes"


@dataclass(frozen=True)
class Rebuilt:
    """What building into earlier results did.

    Args:
        merges: sheets that a drafter edited, those whose subject is gone from the site among them.
        files: a note for every other file that was a drafter's.
        drawn, stood, removed: how many untouched sheets were drawn anew, stand as they stood, and are gone.
    """

    merges: tuple[SheetMerge, ...]
    files: tuple[Note, ...]
    drawn: int
    stood: int
    removed: int

    @property
    def conflicts(self) -> int:
        """How many things the model and the drafter disagree on."""
        return sum(merge.conflicts for merge in self.merges)


def earlier_set(target: Path, found: Found, drawings: str, *, keeps_gone: bool = False) -> EarlierSet:
    """The drawings of earlier results, for the new set to be drawn over; `keeps_gone`: sheets it has no more stay, VOID."""

    def within(names: Iterable[str]) -> Iterator[str]:
        return (PurePosixPath(n).name for n in names if PurePosixPath(n).parent.as_posix() == drawings)

    inputs = {PurePosixPath(n).name: digest for n, digest in found.inputs.items()}
    folder = target / drawings
    # Only files: a pipe of that name would be waited for.
    edited = frozenset(n for n in within(found.foreign) if n.endswith(".dxf") and (folder / n).is_file())
    return EarlierSet(target / drawings, inputs, frozenset(within(found.untouched)), edited, keeps_gone)


def gone_sheets(found: Found, written: SetResult, drawings: str) -> tuple[str, ...]:
    """Sheets of the earlier results, as riserkit wrote them, that the new ones have no more."""
    names = {PurePosixPath(name).stem for name in found.untouched if _is_drawing(name, drawings)}
    return tuple(sorted(names - {sheet.sheet_id for sheet in written.sheets}, key=natural_order))


def enter_sheets(ledger: WrittenFiles, found: Found, written: SetResult, folder: Path) -> None:
    """Note for the list of contents what each drawing was drawn from, and which are not ours alone."""
    for sheet, outcome in zip(written.sheets, written.outcomes, strict=True):
        name = sheet.path.relative_to(folder).as_posix()
        if outcome.of_hand:
            ledger.of_hand.add(name)
            continue
        ledger.inputs[name] = sheet.inputs
        if outcome.action in ("taken over", "same"):
            ledger.digests[name] = found.untouched[name]


def carry_over(
    target: Path, found: Found, folder: Path, written: SetResult, ledger: WrittenFiles, drawings: str
) -> Rebuilt:
    """Bring into the new results whatever of the earlier ones is a drafter's and not there yet.

    Args:
        target: the earlier results; only read.
        found: what stands there.
        folder: the new results, with everything of riserkit's written.
        written: the drawings among it.
        ledger: told of every file that is not ours.
        drawings: name of the folder of drawings.

    Raises:
        DrawingError: an edited drawing cannot be read, or a file not be carried over.
    """
    merges = [outcome.merge for outcome in written.outcomes if outcome.merge is not None]
    files: list[Note] = []
    drawn_into = {f"{drawings}/{merge.sheet}" for merge in merges}
    for name in found.foreign:
        if name in drawn_into:
            continue
        files.append(_carry_file(target, folder, name, ledger))
    _keep_empty_folders(target, folder)
    actions = [outcome.action for outcome in written.outcomes]
    now = {f"{drawings}/{sheet.path.name}" for sheet in written.sheets}
    before = [n for n in found.untouched if _is_drawing(n, drawings)]
    return Rebuilt(
        merges=tuple(sorted(merges, key=lambda merge: merge.sheet)),
        files=tuple(files),
        drawn=actions.count("drawn"),
        stood=actions.count("taken over") + actions.count("same"),
        removed=sum(name not in now for name in before),
    )


def _is_drawing(name: str, drawings: str) -> bool:
    path = PurePosixPath(name)
    return path.suffix == ".dxf" and path.parent.as_posix() == drawings


def _carry_file(target: Path, folder: Path, name: str, ledger: WrittenFiles) -> Note:
    if not (folder / name).exists():
        _put(target, folder, name, name, ledger)
        return Note("foreign", name, "not written by riserkit; kept")
    aside = _free_name(target, folder, name)
    _put(target, folder, name, aside, ledger)
    return Note("set aside", name, f"changed by hand; the changed one is kept as {aside}, riserkit's is in its place")


def _free_name(target: Path, folder: Path, name: str) -> str:
    path = PurePosixPath(name)
    number = 1
    while True:
        word = "edited" if number == 1 else f"edited-{number}"
        found = path.with_name(f"{path.stem}.{word}{path.suffix}").as_posix()
        if not (target / found).exists() and not (folder / found).exists():
            return found
        number += 1


def _put(target: Path, folder: Path, name: str, new_name: str, ledger: WrittenFiles) -> None:
    place = folder / new_name
    place.parent.mkdir(parents=True, exist_ok=True)
    link_file(target / name, place)
    ledger.of_hand.add(new_name)


def _keep_empty_folders(target: Path, folder: Path) -> None:
    if not target.is_dir():
        return
    for path in sorted(p for p in target.rglob("*") if p.is_dir() and not p.is_symlink()):
        if not any(path.iterdir()):
            (folder / path.relative_to(target)).mkdir(parents=True, exist_ok=True)


def rebuild_table(rebuilt: Rebuilt) -> ReportTable:
    """A row for each sheet that a drafter edited."""
    columns = ("sheet", "kept", "unchanged", "replaced", "added", "removed", "deleted_by_hand", "conflicts")
    rows = tuple(
        (m.sheet, m.kept, m.unchanged, m.replaced, m.added, m.removed, m.deleted, m.conflicts) for m in rebuilt.merges
    )
    return ReportTable(REPORT, columns, rows)


def notes_table(rebuilt: Rebuilt) -> ReportTable:
    """A row for each thing of a drafter's."""
    columns = ("file", "kind", "conflict", "subject", "note")
    rows = [
        (merge.sheet, n.kind, "yes" if n.is_conflict else "no", n.subject, n.text)
        for merge in rebuilt.merges
        for n in merge.notes
    ]
    rows += [(n.subject, n.kind, "yes" if n.is_conflict else "no", "", n.text) for n in rebuilt.files]
    return ReportTable(NOTES, columns, tuple(rows))


def rebuild_json(rebuilt: Rebuilt) -> str:
    """All of it for machines."""
    table, notes = rebuild_table(rebuilt), notes_table(rebuilt)
    told = {
        "sheets": [dict(zip(table.columns, row, strict=True)) for row in table.rows],
        "notes": [dict(zip(notes.columns, row, strict=True)) for row in notes.rows],
        "drawn": rebuilt.drawn,
        "stood": rebuilt.stood,
        "removed": rebuilt.removed,
    }
    return json.dumps(told, indent=1, ensure_ascii=False)
