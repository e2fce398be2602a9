"""What has come back of a site: one document for each return in `as-built/`, never changed, so that the history stays."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from riserkit.model.as_built import AsBuilt, KeptPhoto
from riserkit.model.refusals import accepted
from riserkit.model.returned import FIELD_TABLES, Returned
from riserkit.record.errors import RecordError
from riserkit.record.store import read_text, record_files, record_folder, write_record

VERSION: Final = 1
FOLDER: Final = "as-built"
_DOCUMENT: Final = "riserkit_return"
_NAME: Final = re.compile(r"[0-9]{4,}")


@dataclass(frozen=True)
class FieldReturn:
    """One return.

    Args:
        number: counted from 1.
        files: by name the digest (SHA-256) of each file that it came in.
        rows: by table the rows that were new.
        after: revision of the last issue by then, whose names the rows have; empty before the first.
    """

    number: int
    files: Mapping[str, str]
    rows: Mapping[str, tuple[Returned, ...]]
    after: str = ""


def returns_folder(site: Path) -> Path:
    """Where the returns of a site are kept, there or not."""
    return record_folder(site, FOLDER)


def read_returns(site: Path) -> tuple[FieldReturn, ...]:
    """Every return of a site, the first first.

    Raises:
        RecordError: one cannot be read.
    """
    folder = returns_folder(site)
    try:
        found = [_read(path) for path in record_files(folder, _NAME)]
    except OSError as error:
        raise RecordError(f"{folder} cannot be read: {error.strerror}") from error
    return tuple(sorted(found, key=lambda one: one.number))


def _read(path: Path) -> FieldReturn:
    spoilt = f"{path} is no record of a return; restore it from a backup, or move it out of the site"
    try:
        data = json.loads(read_text(path))
    except RecursionError as error:
        raise RecordError(f"{spoilt}: it is nested too deep") from error
    except ValueError as error:
        raise RecordError(f"{spoilt}: {error}") from error
    if not isinstance(data, dict) or _DOCUMENT not in data:
        raise RecordError(spoilt)
    if data[_DOCUMENT] != VERSION:
        raise RecordError(f"{path} is version {data[_DOCUMENT]!r} of the record; this riserkit reads version {VERSION}")
    try:
        rows = {
            table: tuple(FIELD_TABLES[table].record.model_validate(row) for row in given)
            for table, given in data["tables"].items()
        }
        found = FieldReturn(int(data["number"]), dict(data["files"]), rows, str(data.get("after", "")))
    except ValidationError as error:
        item = error.errors(include_url=False)[0]
        name = ".".join(map(str, item["loc"]))
        raise RecordError(f"{spoilt}: {name}: {accepted(item, '', name)}") from error
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise RecordError(spoilt) from error
    if path.stem != f"{found.number:04d}":
        raise RecordError(f"{path} holds return {found.number}; name it {found.number:04d}.json")
    return found


def return_json(found: FieldReturn) -> str:
    """A return as a document: the same return yields the same bytes."""
    data: dict[str, Any] = {
        _DOCUMENT: VERSION,
        "number": found.number,
        **({"after": found.after} if found.after else {}),
        "files": dict(found.files),
        "tables": {
            table: [row.model_dump(mode="json", exclude_defaults=True) for row in rows]
            for table, rows in found.rows.items()
            if rows
        },
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def write_return(site: Path, found: FieldReturn) -> Path:
    """Put a return on record, whole or not at all, and never over another.

    Raises:
        RecordError: that number is on record, or the folder cannot be written.
    """
    return write_record(returns_folder(site), f"{found.number:04d}", return_json(found))


def in_order(returns: Iterable[FieldReturn], table: str) -> Iterator[Returned]:
    """Every row of a table in the order in which it came back: of two that differ the later one was taken, knowingly."""
    return (row for one in returns for row in one.rows.get(table, ()))


def last_said(rows: Iterable[Returned]) -> tuple[Returned, ...]:
    """Of rows in order what was last said of each thing."""
    found: dict[tuple[str, ...], Returned] = {}
    for row in rows:
        before = found.pop(row.key, None)
        kept = before.stated.items() if before is not None and row.ADDS else ()
        found[row.key] = row.model_copy(update={name: value for name, value in kept if name not in row.stated})
    return tuple(found.values())


def as_built_of(returns: Sequence[FieldReturn], photos: Sequence[KeptPhoto] = ()) -> AsBuilt:
    """Everything that has come back, the last said of each thing; with the photographs that are kept."""
    rows = {name: last_said(in_order(returns, name)) for name in FIELD_TABLES if name != "crew"}
    dates = [row.date for one in returns for given in one.rows.values() for row in given]
    history = tuple(_history(returns, rows))
    return AsBuilt.model_validate(
        {**rows, "last_date": max(dates, default=None), "history": history, "kept_photos": tuple(photos)}
    )


def _history(returns: Sequence[FieldReturn], last: Mapping[str, tuple[Returned, ...]]) -> Iterator[tuple[str, ...]]:
    stands = {(table, row.key): row for table, rows in last.items() for row in rows}
    for one in returns:
        for table, rows in one.rows.items():
            for row in rows:
                now = stands[table, row.key].stated
                is_replaced = any(now.get(name) != value for name, value in row.stated.items())
                said = "; ".join(f"{name} {said_of(value)}" for name, value in row.stated.items())
                yield (
                    str(one.number), table, " ".join(filter(None, row.key)), said, row.by, row.date.isoformat(),
                    row.instrument, row.file, "replaced" if is_replaced else "",
                )  # fmt: skip


def said_of(value: object) -> str:
    """What a cell said, as people write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
