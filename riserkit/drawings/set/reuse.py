"""The set written earlier, and what the new one keeps of it: sheets taken over as they are, or drawn into."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from riserkit.design import Design
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.dxf.document import take_apart, write_whole
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.edits.into import regenerate
from riserkit.drawings.edits.values import SheetMerge
from riserkit.drawings.edits.void import draw_void
from riserkit.drawings.legibility.sheet import inspect_document
from riserkit.drawings.legibility.values import SheetInspection
from riserkit.drawings.set.ahead import DrawnAhead
from riserkit.drawings.set.failed import drawn_or_held
from riserkit.drawings.set.job import SheetJob

Action = Literal["taken over", "same", "drawn", "merged", "void"]


@dataclass(frozen=True)
class EarlierSet:
    """Drawings written earlier.

    Args:
        folder: where they are; they are only read.
        inputs: for each file that stands as riserkit wrote it, the digest of what it was drawn from.
        untouched: files that stand as riserkit wrote them.
        edited: drawings that a drafter may have edited, to be drawn into.
        keeps_gone: sheets that the set has no more are kept, marked VOID.
    """

    folder: Path
    inputs: Mapping[str, str] = field(default_factory=dict)
    untouched: frozenset[str] = frozenset()
    edited: frozenset[str] = frozenset()
    keeps_gone: bool = False

    def sheets(self) -> frozenset[str]:
        """Identifications of the sheets that are to be kept, VOID where the set has them no more."""
        if not self.keeps_gone:
            return frozenset()
        names = {n for n in self.untouched if n.endswith(".dxf")} | {n for n in self.edited if self._is_ours(n)}
        return frozenset(Path(name).stem for name in names)

    def _is_ours(self, name: str) -> bool:
        """A sheet of a set bears its own name and riserkit's; a drafter's copy of it under another name does not."""
        lines = {line.strip() for line in (self.folder / name).read_bytes().splitlines()}
        return b"RISERKIT" in lines and Path(name).stem.encode() in lines


@dataclass(frozen=True, slots=True)
class SheetOutcome:
    """What was done for one sheet: taken over without drawing, drawn with the same result or another, merged, or void.

    `of_hand`: there is a drafter's work in it. A sheet that was drawn may have been inspected as it was drawn; one that
    came out the same was before. `failed` says why a sheet stands for one that could not be drawn, and is empty for any
    other.
    """

    sheet_id: str
    action: Action
    merge: SheetMerge | None = None
    inspection: SheetInspection | None = None
    failed: str = ""
    of_hand: bool = False


def take_over(job: SheetJob, folder: Path, earlier: EarlierSet, suffixes: Sequence[str]) -> bool:
    """Put the earlier sheet and its pictures into the new set; False, and nothing done, where it must be drawn.

    Raises:
        DrawingError: the folder cannot be written.
    """
    if not job.inputs or earlier.inputs.get(job.file_name) != job.inputs:
        return False
    names = [job.file_name, *(f"{job.sheet_id}{suffix}" for suffix in suffixes)]
    if not earlier.untouched.issuperset(names):
        return False
    for name in names:
        link_file(earlier.folder / name, folder / name)
    return True


def take_over_print(earlier: EarlierSet, pdf: Path, outcomes: Iterable[SheetOutcome]) -> bool:
    """Put the earlier print of the whole set into the new one, when no sheet of it has changed, come or gone."""
    now = {f"{outcome.sheet_id}.dxf" for outcome in outcomes if outcome.action in ("taken over", "same")}
    everything = {f"{outcome.sheet_id}.dxf" for outcome in outcomes}
    before = {name for name in earlier.untouched | earlier.edited if name.endswith(".dxf")}
    if pdf.name not in earlier.untouched or not now == everything == before:
        return False
    link_file(earlier.folder / pdf.name, pdf)
    return True


def draw_into(
    design: Design, job: SheetJob, path: Path, earlier: EarlierSet, info: DrawingInfo, inspects: bool,
    ahead: DrawnAhead | None = None,
) -> SheetOutcome:  # fmt: skip
    """Draw a sheet anew, or into the drawing that a drafter edited; one that cannot be drawn says so on its sheet.

    Args:
        design: the whole design.
        job: the sheet.
        path: takes it.
        earlier: the set written earlier.
        info: what goes into every file besides its drawing.
        inspects: inspect it as it has been drawn.
        ahead: the sheet as it was drawn already. One that a drafter edited is drawn again, into the edited drawing.

    Raises:
        DrawingError: something cannot be read or written, or no sheet at all can be drawn.
    """
    before = earlier.folder / job.file_name
    if job.kind == "void":
        of_hand = job.file_name in earlier.edited
        return SheetOutcome(job.sheet_id, "void", draw_void(before, job.sheet_id, path), of_hand=of_hand)
    if ahead is not None and job.file_name not in earlier.edited:
        if _stands(before, earlier, job, ahead.path.read_bytes()):
            link_file(before, path)
            return SheetOutcome(job.sheet_id, "same")
        link_file(ahead.path, path)
        return SheetOutcome(job.sheet_id, "drawn", inspection=ahead.inspection)
    canvas, failed = drawn_or_held(design, job, info)
    if job.file_name in earlier.edited:
        return SheetOutcome(job.sheet_id, "merged", regenerate(before, canvas, path), failed=failed, of_hand=True)
    content = canvas.to_bytes()
    if _stands(before, earlier, job, content):
        link_file(before, path)
        return SheetOutcome(job.sheet_id, "same", failed=failed)
    write_whole(path, content)
    inspection = inspect_document(canvas.doc) if inspects else None
    take_apart(canvas.doc)
    return SheetOutcome(job.sheet_id, "drawn", inspection=inspection, failed=failed)


def _stands(before: Path, earlier: EarlierSet, job: SheetJob, content: bytes) -> bool:
    """Whether the earlier sheet is as riserkit wrote it, and would be written so again."""
    return job.file_name in earlier.untouched and before.read_bytes() == content


def link_file(source: Path, target: Path) -> None:
    """The same file in another folder, without copying where the file system can.

    Raises:
        DrawingError: it cannot be written.
    """
    try:
        try:
            os.link(source, target, follow_symlinks=False)
        except OSError:
            shutil.copy2(source, target, follow_symlinks=False)
    except OSError as error:
        raise DrawingError(f"cannot write {target}: {error.strerror}; choose a folder that can be written") from error
