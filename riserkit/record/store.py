"""Where issues are kept: one file each in `issues/` of the site's folder, or beside a site that is one document."""

from __future__ import annotations

import os
import re
import stat
import tempfile
from pathlib import Path
from typing import Final

from riserkit.record.errors import RecordError
from riserkit.record.issue import Issue, issue_json, read_issue

_FOLDER: Final = "issues"
_MOST_BYTES: Final = 500_000_000

REVISION_RULE: Final = re.compile(r"[A-HJ-NPRT-WY]{1,2}|0|[1-9][0-9]{0,2}")
"""Letters without I, O, Q, S, X and Z, which are taken for figures or for each other (ASME Y14.35), or a number."""


_ANY: Final = re.compile(r"(?s).*")
"""A record under another name than its own is told, not left out."""


def record_folder(site: Path, name: str) -> Path:
    """Where records of a kind are kept of a site, there or not."""
    return site / name if site.is_dir() else site.with_name(f"{site.stem}.{name}")


def issues_folder(site: Path) -> Path:
    """Where the issues of a site are kept, there or not."""
    return record_folder(site, _FOLDER)


def read_issues(site: Path) -> tuple[Issue, ...]:
    """Every issue of a site, the first issued first.

    Raises:
        RecordError: a record cannot be read, or does not follow the one before.
    """
    folder = issues_folder(site)
    try:
        paths = record_files(folder, _ANY)
        found = [_read(path) for path in paths]
    except OSError as error:
        raise RecordError(f"{folder} cannot be read: {error.strerror}") from error
    for path, issue in zip(paths, found, strict=True):
        if path.stem != issue.revision:
            raise RecordError(f"{path} holds revision {issue.revision}; name it {issue.revision}.json")
    return tuple(sorted(found, key=lambda issue: revision_order(issue.revision)))


def record_files(folder: Path, name: re.Pattern[str]) -> list[Path]:
    """The documents of a record whose names are such as it gives, in the order of their names.

    Raises:
        RecordError: the folder, or one of them, is something else: a record that cannot be read is no record left out.
        OSError: the folder cannot be read.
    """
    if not folder.is_dir():
        if folder.exists() or folder.is_symlink():
            raise RecordError(f"{folder} is no folder; move it away, the record of the site stands there")
        return []
    paths = sorted(path for path in folder.glob("*.json") if name.fullmatch(path.stem))
    for path in paths:
        if not path.is_file():
            raise RecordError(f"{path} is no file; restore the record from a backup")
    return paths


def _read(path: Path) -> Issue:
    return read_issue(read_text(path), str(path))


def read_text(path: Path) -> str:
    """The text of a record.

    Raises:
        RecordError: it is too large, or no text.
    """
    if path.stat().st_size > _MOST_BYTES:
        raise RecordError(f"{path} is larger than {_MOST_BYTES // 1_000_000} MB; it is no record")
    try:
        return path.read_text("utf-8")
    except UnicodeDecodeError as error:
        raise RecordError(f"{path} is no record: it is not UTF-8; restore it from a backup") from error


def revision_order(revision: str) -> tuple[int, int, str]:
    """Numbers before letters, A to Y before AA.

    Examples:
        >>> sorted(["B", "10", "AA", "2", "A"], key=revision_order)
        ['2', '10', 'A', 'B', 'AA']
    """
    if revision.isdecimal():
        return (0, int(revision), "")
    return (1, len(revision), revision)


def write_issue(site: Path, issue: Issue) -> Path:
    """Put an issue on record: written beside, then renamed, and never over another.

    Raises:
        RecordError: that revision is on record, or the folder cannot be written.
    """
    folder = issues_folder(site)
    target = folder / f"{issue.revision}.json"
    if target.exists():
        raise RecordError(f"revision {issue.revision} is on record in {target}; issue the next one")
    return write_record(folder, issue.revision, issue_json(issue))


def write_record(folder: Path, name: str, text: str) -> Path:
    """Put a document on record: written beside, then renamed, and never over another.

    Raises:
        RecordError: there is one of that name, or the folder cannot be written.
    """
    target = folder / f"{name}.json"
    if target.exists():
        raise RecordError(f"{target} is on record and stays as it is; nothing is written")
    try:
        folder.mkdir(exist_ok=True)
        # What a kill left; a run that is at it loses it too, and says so.
        for left in [p for p in folder.iterdir() if p.name.startswith(f".{name}-")]:
            left.unlink(missing_ok=True)
        handle, beside = tempfile.mkstemp(prefix=f".{name}-", dir=folder)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            # A temporary file is private to its maker; a record is as readable as the tables beside it.
            Path(beside).chmod(stat.S_IMODE(folder.stat().st_mode) & 0o666)
            # Not a move: of two that come at once, the second must not take the place of the first.
            _link(Path(beside), target)
        finally:
            Path(beside).unlink(missing_ok=True)
    except OSError as error:
        raise RecordError(f"{target} cannot be written: {error.strerror}; nothing is on record") from error
    return target


def _link(beside: Path, target: Path) -> None:
    """Give a file its name, unless another has it."""
    try:
        target.hardlink_to(beside)
    except FileExistsError as error:
        raise RecordError(f"{target} was put on record meanwhile and stays as it is; nothing is written") from error
    except OSError:
        # A file system without links.
        beside.replace(target)
