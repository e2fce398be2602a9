"""One issue of a set: its facts, its labels and its sheets as they went out, as a JSON document with a version of its own."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Final

from pydantic import ConfigDict, TypeAdapter, ValidationError, with_config

from riserkit.model.records import IssuedLabel
from riserkit.model.refusals import accepted
from riserkit.record.errors import RecordError
from riserkit.record.facts import Facts

VERSION: Final = 1
_DOCUMENT: Final = "riserkit_issue"


@with_config(ConfigDict(extra="forbid"))
@dataclass(frozen=True, slots=True)
class IssuedSheet:
    """A sheet as it was issued.

    Args:
        number: of the sheet; it keeps its subject for good.
        title, kind, subject: what it shows.
        revision: letter of the issue that changed it last.
        date: of that issue.
        content: digests of the lines that it says of each thing, by the thing's id.
        changed: those of them that its last revision brought; none on a sheet that is new or only gave lines away.
        is_new: first issued at this revision.
        void: its subject is gone; the number is not given again.
        note: what its last revision did that no line of it says: which openings came to a typical, and which left it.
    """

    number: str
    title: str
    kind: str
    subject: str
    revision: str
    date: datetime.date
    content: Mapping[str, tuple[str, ...]]
    changed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    is_new: bool = False
    void: bool = False
    note: str = ""


@with_config(ConfigDict(extra="forbid"))
@dataclass(frozen=True)
class Issue:
    """One issue.

    Args:
        revision: its letter.
        date: as stated, never the clock's.
        purpose: what it may be used for, such as `for construction`.
        name: who issues it.
        note: what it is about, in words.
        labels: every label issued up to then.
        facts: what the design said.
        sheets: all of them, void ones included.
    """

    revision: str
    date: datetime.date
    purpose: str
    name: str
    note: str
    labels: tuple[IssuedLabel, ...]
    facts: Facts
    sheets: tuple[IssuedSheet, ...] = ()


_ISSUE: Final = TypeAdapter(Issue)


def issue_json(issue: Issue) -> str:
    """The issue as a document: the same issue yields the same bytes."""
    data: dict[str, Any] = {
        _DOCUMENT: VERSION,
        "revision": issue.revision,
        "date": issue.date.isoformat(),
        "purpose": issue.purpose,
        "name": issue.name,
        "note": issue.note,
        "labels": [label.model_dump() for label in issue.labels],
        "facts": {kind: {subject: dict(row) for subject, row in rows.items()} for kind, rows in issue.facts.items()},
        "sheets": [{**asdict(sheet), "date": sheet.date.isoformat()} for sheet in issue.sheets],
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def read_issue(text: str, name: str) -> Issue:
    """An issue from its document.

    Args:
        text: the document.
        name: of its file, for errors.

    Raises:
        RecordError: it is none, of another version, or spoilt.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise RecordError(f"{name} is no record of an issue: {error}; restore it from a backup") from error
    if not isinstance(data, dict) or _DOCUMENT not in data:
        raise RecordError(f"{name} is no record of an issue; restore it from a backup, or move it out of the site")
    version = data.pop(_DOCUMENT)
    if version != VERSION:
        raise RecordError(f"{name} is version {version!r} of the record; this riserkit reads version {VERSION}")
    try:
        return _ISSUE.validate_python(data)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])[:100]
        wanted = accepted(first, "", where)
        raise RecordError(f"{name}, {where}: {wanted}; restore the record from a backup") from error
