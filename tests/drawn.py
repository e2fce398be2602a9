"""Sheets drawn once for all tests of files that ask for it: most of the time of a build is its sheets.

Files whose tests build a site to prove something else than its sheets ask for the fixture `drawn_once`. A sheet counts as the
same where riserkit itself would take it over from earlier results: by its name and the digest of what it is drawn from.
"""

from __future__ import annotations

import os
import pickle
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from riserkit.design import Design
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.dxf.document import write_whole
from riserkit.drawings.legibility.values import SheetInspection
from riserkit.drawings.set import write
from riserkit.drawings.set.ahead import DrawnAhead
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.reuse import EarlierSet, SheetOutcome
from riserkit.results.build import set_options
from tests import proven

_draw_into = write.draw_into
_afresh: list[bool] = []
_Kept = tuple[bytes, SheetInspection | None]


@contextmanager
def once(folder: Path) -> Iterator[None]:
    """Within it, builds draw a sheet that any has drawn no more; `folder` keeps the sheets for all workers."""
    folder.mkdir(exist_ok=True)
    before = write.draw_into

    def draw_into(
        design: Design, job: SheetJob, path: Path, earlier: EarlierSet, info: DrawingInfo, inspects: bool,
        ahead: DrawnAhead | None = None,
    ) -> SheetOutcome:  # fmt: skip
        known = bool(job.inputs) and job.kind != "void" and ahead is None and job.file_name not in earlier.edited
        if not known or _afresh or proven.anything_is_replaced():
            return _draw_into(design, job, path, earlier, info, inspects, ahead)
        kept = folder / sha256(f"{job.file_name} {job.inputs} {inspects}".encode()).hexdigest()
        with suppress(OSError):
            content, inspection = _read(kept)
            if job.file_name in earlier.untouched:
                drawn = DrawnAhead(_copy(folder, content), None, None, inspection)
                try:
                    return _draw_into(design, job, path, earlier, info, inspects, drawn)
                finally:
                    drawn.path.unlink()
            write_whole(path, content)
            return SheetOutcome(job.sheet_id, "drawn", inspection=inspection)
        outcome = _draw_into(design, job, path, earlier, info, inspects)
        if not outcome.failed:
            with suppress(OSError):
                _write(kept, (path.read_bytes(), outcome.inspection))
        return outcome

    write.draw_into = draw_into
    try:
        yield
    finally:
        write.draw_into = before


@contextmanager
def afresh() -> Iterator[None]:
    """Within it every sheet is drawn, for what compares one build with another."""
    _afresh.append(True)
    try:
        yield
    finally:
        _afresh.pop()


@contextmanager
def uninspected() -> Iterator[None]:
    """Within it builds do not look whether sheets are legible, which takes a third of their time."""
    with proven.UnnotedPatch.context() as patched:
        for module in ("build", "issue"):
            patched.setattr(
                f"riserkit.results.{module}.set_options", lambda *asked: replace(set_options(*asked), inspects=False)
            )
        patched.setattr("riserkit.results.build.inspect_results", lambda *_: ())
        yield


def _read(path: Path) -> _Kept:
    found: _Kept = pickle.loads(path.read_bytes())
    return found


def _copy(folder: Path, content: bytes) -> Path:
    """A file of its own: what is linked into results may be written to."""
    copy = folder / f"{os.getpid()}.copy"
    copy.write_bytes(content)
    return copy


def _write(path: Path, kept: _Kept) -> None:
    part = path.with_suffix(f".{os.getpid()}")
    try:
        part.write_bytes(pickle.dumps(kept))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
