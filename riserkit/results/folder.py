"""A folder of results that appears whole or not at all, and never takes anything of the user's with it.

Files are written beside the target and renamed into place at the end. The folder carries a list of its files with their
digests; a later build replaces only a folder whose files are exactly those it wrote, or carries over what is not.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import json
import logging
import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

from riserkit.errors import RiserkitError

CONTENTS: Final = "contents.json"
DRAWINGS: Final = "drawings"
UNFINISHED: Final = "unfinished"
"""A file in a folder that is being written or cleared away: whatever is there is nobody's results."""
_NEW, _OLD = ".part", ".old"
_SWAP: Final = 2
"""RENAME_EXCHANGE of Linux, renameat2(2)."""
_log = logging.getLogger("riserkit.results")


class OutputError(RiserkitError):
    """The results cannot be put where they were asked for."""


@dataclass(frozen=True)
class Found:
    """A folder of results as it is, by file names within it.

    Args:
        untouched: files as riserkit wrote them, with their digests.
        foreign: files that riserkit did not write, or that were changed since.
        inputs: for untouched drawings, the digest of what each was drawn from.
        stats: time of change and size of every file, to notice a change while the new results are made.
    """

    untouched: Mapping[str, str] = field(default_factory=dict)
    foreign: tuple[str, ...] = ()
    inputs: Mapping[str, str] = field(default_factory=dict)
    stats: Mapping[str, tuple[int, int]] = field(default_factory=dict)


@dataclass
class WrittenFiles:
    """Filled in while results are written, for their list of contents.

    Args:
        inputs: for drawings, the digest of what each was drawn from.
        digests: of files that are taken over from the earlier results as they are, so that nobody counts twice.
        of_hand: files with a drafter's work. They are left off the list: a later build takes them for foreign.
    """

    inputs: dict[str, str] = field(default_factory=dict)
    digests: dict[str, str] = field(default_factory=dict)
    of_hand: set[str] = field(default_factory=set)


@contextlib.contextmanager
def whole_folder(
    target: Path, ledger: WrittenFiles | None = None, found: Found | None = None, *, keeps_foreign: bool = False
) -> Iterator[Path]:
    """A new folder to write into; it becomes `target` when the block ends, and vanishes when it raises.

    Args:
        target: the folder asked for. When it is there already, it is replaced, if all in it is as riserkit wrote it.
        ledger: what the list of contents is to say besides the digests; read when the block ends.
        found: the folder as it was looked over before; looked over now when None.
        keeps_foreign: whoever writes carries over what riserkit did not write.

    Raises:
        OutputError: it cannot be written, holds something that would be lost, or was changed meanwhile.
    """
    target = place_of(target)
    recover(target)
    found = found or look_over(target)
    if not keeps_foreign:
        refuse_to_lose(target, found)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=_NEW, dir=target.parent))
    except OSError as error:
        raise OutputError(
            f"cannot write into {target.parent}: {error.strerror}; choose another folder with -o"
        ) from error
    try:
        with locked(beside):
            (beside / UNFINISHED).touch()
            yield beside
            _write_contents(beside, ledger or WrittenFiles())
            # A temporary folder is private to its maker; results are as readable as any folder of the user's.
            beside.chmod(stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o777 & ~_umask())
            _refuse_changed(target, found)
            (beside / UNFINISHED).unlink()
            _put_in_place(beside, target)
    except OSError as error:
        raise OutputError(f"cannot write {target}: {error.strerror or error}") from error
    finally:
        _clear(beside)


@contextlib.contextmanager
def folder_beside(target: Path) -> Iterator[Path]:
    """A folder beside `target` to write into before anything is put in place; gone when the block ends.

    One that a kill leaves is cleared away by the next call, or by the next build into `target`.

    Raises:
        OSError: it cannot be made.
    """
    recover(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=_NEW, dir=target.parent))
    try:
        with locked(beside):
            (beside / UNFINISHED).touch()
            yield beside
    finally:
        _clear(beside)


def recover(target: Path) -> None:
    """Clear away what a build into `target` left that was killed; put results back that it had moved aside. Says so.

    Only folders of the user's own that no running build holds, and that are marked as unfinished or hold results.
    """
    try:
        left = sorted(p for p in target.parent.glob(f".{_escaped(target.name)}.*") if p.suffix in (_NEW, _OLD))
    except OSError:
        return
    for folder in left:
        with contextlib.suppress(OSError), locked(folder):
            if folder.is_symlink() or not folder.is_dir() or not _is_mine(folder):
                continue
            whole = not (folder / UNFINISHED).exists() and _known(folder, "files")
            if whole and folder.suffix == _OLD and not target.exists():
                folder.rename(target)
                _log.warning("%s: the results of before are put back; a build that was killed had moved them", target)
            elif whole or (folder / UNFINISHED).is_file():
                _clear(folder)
                _log.warning("%s is cleared away; a build that was killed had left it", folder)


def _escaped(name: str) -> str:
    return "".join(f"[{ch}]" if ch in "*?[" else ch for ch in name)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold a folder, so that no other build takes it for left behind.

    Raises:
        OSError: another process holds it.
    """
    if fcntl is None:
        yield
        return
    held = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(held)


def _clear(folder: Path) -> None:
    """Take a folder away; a kill in the middle leaves one that is still marked as unfinished."""
    if not folder.is_dir() or folder.is_symlink():
        return
    with contextlib.suppress(OSError):
        (folder / UNFINISHED).touch()
        for entry in folder.iterdir():
            if entry.is_dir() and not entry.is_symlink():
                shutil.rmtree(entry, ignore_errors=True)
            elif entry.name != UNFINISHED:
                entry.unlink()
    shutil.rmtree(folder, ignore_errors=True)


def place_of(target: Path) -> Path:
    """Where a folder really is, links followed.

    Raises:
        OutputError: links lead in a circle, or no folder can bear the name.
    """
    try:
        place = target.resolve()
        place.exists()
    except (OSError, ValueError, RuntimeError) as error:
        # Python 3.11 and 3.12 raise RuntimeError for a circle of links, later ones OSError.
        why = getattr(error, "strerror", None) or "its links lead in a circle, or its name is none"
        raise OutputError(f"{target} cannot be written: {why}; choose another folder with -o") from error
    return place


def refuse_to_lose(target: Path, found: Found | None = None, *, may_keep: bool = True) -> None:
    """Raise when `target` holds anything that riserkit did not write, or that has been changed since.

    Raises:
        OutputError: naming what is there.
    """
    foreign = (found or look_over(target)).foreign
    if foreign:
        shown = ", ".join(foreign[:5]) + (f" and {len(foreign) - 5} more" if len(foreign) > 5 else "")
        raise OutputError(
            f"{target} has files that riserkit did not write or that were changed since: {shown}; "
            f"{'build with --keep-edits to keep these as they are, ' if may_keep else ''}"
            "choose another folder with -o, or move them away"
        )


def looked_over(output: Path | str, *, keeps_foreign: bool = False) -> tuple[Path, Found]:
    """Where results go, and what is there. A refusal comes before the work, so that nobody waits a minute for it.

    Args:
        output: the folder asked for.
        keeps_foreign: whoever writes carries over what riserkit did not write.

    Raises:
        OutputError: it cannot be read, was never a folder of results, or holds something that would be lost.
    """
    target = place_of(Path(output))
    recover(target)
    found = look_over(target)
    if not keeps_foreign:
        refuse_to_lose(target, found)
    return target, found


def own_folder(output: Path, more: str = "") -> tuple[Path, Found]:
    """As `looked_over`, for what has a folder of its own: it never takes the place of a set of drawings.

    Args:
        output: the folder asked for.
        more: what else would do, as the refusal ends.
    """
    target, found = looked_over(output, keeps_foreign=True)
    if any(name.startswith(f"{DRAWINGS}/") for name in found.stats):
        raise OutputError(f"{output} holds drawings, which would be gone; name another folder with -o{more}")
    refuse_to_lose(target, found, may_keep=False)
    return target, found


def look_over(target: Path) -> Found:
    """Content of a folder of results; nothing when there is none.

    Raises:
        OutputError: it is a file, cannot be read, or was never a folder of results.
    """
    if not target.exists():
        return Found()
    if not target.is_dir():
        raise OutputError(f"{target} is a file; expected a folder, or a name that is free")
    try:
        _refuse_guarded(target)
        _refuse_strange(target)
        stats = _stats(target)
        known, inputs = _known(target, "files"), _known(target, "drawn_from")
        # A pipe or a device is never opened: that might wait for ever.
        digests = {
            n: file_digest(target / n) for n in stats if n in known and stat.S_ISREG((target / n).lstat().st_mode)
        }
        untouched = {name: digest for name, digest in digests.items() if known[name] == digest}
        foreign = tuple(name for name in stats if name not in untouched and name != CONTENTS)
        return Found(untouched, foreign, {n: d for n, d in inputs.items() if n in untouched}, stats)
    except OSError as error:
        raise OutputError(f"cannot read {target}: {error.strerror}; choose another folder with -o") from error


def _refuse_guarded(target: Path) -> None:
    """Refuse what somebody has made read-only, or what is another's: whoever did that did not want it replaced.

    Asked of the modes themselves, for to an administrator everything is writable.
    """
    if not _is_mine(target):
        raise OutputError(f"{target} belongs to another user; choose another folder with -o, or make it yours")
    for path in (target, *sorted(target.rglob("*"))):
        if path.is_symlink():
            continue
        mode = path.lstat().st_mode
        needed = stat.S_IWUSR | stat.S_IRUSR | (stat.S_IXUSR if stat.S_ISDIR(mode) else 0)
        if mode & needed != needed:
            what = "read-only" if not mode & stat.S_IWUSR else "not readable"
            raise OutputError(
                f"{path} is {what}, so {target} is left as it is; make it writable (chmod u+rwX), or choose another "
                "folder with -o"
            )


def _is_mine(path: Path) -> bool:
    return not hasattr(os, "geteuid") or path.stat().st_uid == os.geteuid()


def _refuse_strange(target: Path) -> None:
    # Not even edits are kept there: all of a home folder would be looked through, copied and put in place anew.
    first = min((entry.name for entry in target.iterdir()), default="")
    if first and not (target / CONTENTS).is_file():
        raise OutputError(
            f"{target} is not empty and has no results of a build: it has no {CONTENTS}; it holds {first}; "
            "choose another folder with -o"
        )


def _stats(target: Path) -> dict[str, tuple[int, int]]:
    found = {}
    for path in sorted(p for p in target.rglob("*") if p.is_symlink() or not p.is_dir()):
        seen = path.lstat()
        found[path.relative_to(target).as_posix()] = (seen.st_mtime_ns, seen.st_size)
    return found


def _refuse_changed(target: Path, found: Found) -> None:
    now = _stats(target) if target.exists() else {}
    changed = sorted(name for name in {*now, *found.stats} if now.get(name) != found.stats.get(name))
    if changed:
        raise OutputError(f"{target} changed during the build: {changed[0]}; nothing was written, build again")


def _known(target: Path, table: str) -> dict[str, str]:
    try:
        listed = json.loads((target / CONTENTS).read_text("utf-8"))[table]
    except (FileNotFoundError, ValueError, KeyError, TypeError, RecursionError):
        return {}
    return {str(name): str(digest) for name, digest in listed.items()} if isinstance(listed, dict) else {}


def file_digest(path: Path) -> str:
    """A digest of a file's bytes."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _write_contents(folder: Path, ledger: WrittenFiles) -> None:
    files = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    files = [name for name in files if name != UNFINISHED]
    ours = [name for name in files if name not in ledger.of_hand]
    listed = {name: ledger.digests.get(name) or file_digest(folder / name) for name in ours}
    drawn_from = {name: ledger.inputs[name] for name in ours if ledger.inputs.get(name)}
    text = json.dumps({"written_by": "riserkit", "files": listed, "drawn_from": drawn_from}, indent=1)
    (folder / CONTENTS).write_text(text + "\n", "utf-8")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _put_in_place(beside: Path, target: Path) -> None:
    if not target.exists():
        beside.rename(target)
        return
    if _swapped(beside, target):
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=_OLD, dir=target.parent))
    old.rmdir()
    try:
        target.rename(old)
        beside.rename(target)
    except BaseException:
        # A signal may come here as well; a kill is put right by the next build.
        if not target.exists():
            old.rename(target)
        raise
    _clear(old)


def _swapped(one: Path, other: Path) -> bool:
    """Exchange two folders in one step, with no moment without results; False where the system cannot."""
    if sys.platform != "linux":
        return False
    here = -100  # AT_FDCWD
    try:
        swap = ctypes.CDLL(None, use_errno=True).renameat2
    except AttributeError:
        return False
    return bool(swap(here, os.fsencode(one), here, os.fsencode(other), _SWAP) == 0)
