"""Every case that ever failed, kept small and as text: a JSON file for each, with what it did, why, and the site's files.

Bytes that are no UTF-8 stand as the lone surrogates of Python's `surrogateescape`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from tests.hostile.bases import Files, rows_of, table_of

FOLDER: Final = Path(__file__).parent / "corpus"
_MOST_TRIES: Final = 300
_RECORD: Final = re.compile(rb"\{[^{}]*\}(, )?")


def kept() -> dict[str, Files]:
    """The cases by name."""
    return {path.stem: files_of(path) for path in sorted(FOLDER.glob("*.json"))}


def files_of(path: Path) -> Files:
    """A case as it is given to the reader."""
    texts = json.loads(path.read_text("utf-8"))["files"]
    return {name: text.encode("utf-8", "surrogateescape") for name, text in texts.items()}


def keep(failure: str, files: Files, folder: Path = FOLDER) -> Path:
    """Write a case into the corpus, or into another folder; the file's path."""
    folder.mkdir(parents=True, exist_ok=True)
    name = re.sub(r"[^a-z0-9]+", "-", failure.lower()).strip("-")[:60]
    path = folder / f"{name}.json"
    texts = {name: data.decode("utf-8", "surrogateescape") for name, data in sorted(files.items())}
    path.write_text(json.dumps({"failure": failure, "files": texts}, indent=1, ensure_ascii=True) + "\n", "utf-8")
    return path


def smallest(files: Files, fails: Callable[[Files], bool]) -> Files:
    """The same case with as many files and rows left out as still fail: whole files first, then halves of rows, then rows."""
    tries = 0

    def still(candidate: Files) -> bool:
        nonlocal tries
        tries += 1
        return tries <= _MOST_TRIES and fails(candidate)

    for name in sorted(files, key=lambda n: -len(files[n])):
        without = {n: data for n, data in files.items() if n != name}
        if still(without):
            files = without
    for name in sorted(n for n in files if n.endswith(".csv")):
        size = max(1, len(rows_of(files[name])) // 2)
        while size:
            at = 1
            while at < len(rows := rows_of(files[name])):
                fewer = {**files, name: table_of([*rows[:at], *rows[at + size :]])}
                if still(fewer):
                    files = fewer
                else:
                    at += size
            size //= 2
    for name in sorted(n for n in files if n.endswith(".json")):
        files = _fewer_records(files, name, still)
    return files


def _fewer_records(files: Files, name: str, still: Callable[[Files], bool]) -> Files:
    """Records of a document left out as text, for what fails is often no JSON that Python would write again."""
    at = 0
    while found := _RECORD.search(files[name], at):
        fewer = {**files, name: files[name][: found.start()] + files[name][found.end() :]}
        if still(fewer):
            files = fewer
        else:
            at = found.start() + 1
    return files
