"""The record of what was imported last: what the next version is compared with, kept in the site's folder as JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from riserkit.model.problems import InputError, Problem, Where

RECORD: Final = "last.json"
VERSION: Final = 1


@dataclass(frozen=True, slots=True)
class LastCell:
    """What a cell was given, and by what kind of document: `list` or `drawn`."""

    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class LastRow:
    """A row as it was imported last."""

    key: str
    identity: str
    cells: Mapping[str, LastCell]

    def text(self, column: str) -> str | None:
        """What was imported into a cell; None for nothing."""
        cell = self.cells.get(column)
        return None if cell is None else cell.text


@dataclass(frozen=True, slots=True)
class LastImport:
    """Everything imported so far, as it was given last.

    Args of note:
        documents: by name the digest of each document.
        is_listed: a list has said which doors are controlled.
    """

    tables: Mapping[str, tuple[LastRow, ...]] = field(default_factory=dict)
    documents: Mapping[str, str] = field(default_factory=dict)
    is_listed: bool = False


def read_last(text: str, name: str) -> LastImport:
    """The record as it stands in its file.

    Raises:
        InputError: it is no such record, or of another version.
    """
    try:
        data: Any = json.loads(text)
        if data["version"] != VERSION:
            raise ValueError(f"version {data['version']}")
        tables = {
            table: tuple(
                LastRow(
                    _text(row["key"]),
                    _text(row["identity"]),
                    {c: LastCell(_text(t), _text(k)) for c, (t, k) in row["cells"].items()},
                )
                for row in rows
            )
            for table, rows in data["tables"].items()
        }
        documents = {name: _text(digest) for name, digest in data["documents"].items()}
        return LastImport(tables, documents, bool(data["is_listed"]))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        # What the library says of JSON tells where; what Python says of a missing part tells nobody anything.
        why = f" ({str(error)[:80]})" if isinstance(error, ValueError) else ""
        wanted = f"expected the record of the last import{why}; restore it, or take it away to begin anew"
        raise InputError([Problem(Where(name), "", "", wanted)]) from None


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def last_text(last: LastImport) -> str:
    """The record as it is written; one line a row, so that versions of it can be compared."""
    tables = []
    for table, rows in sorted(last.tables.items()):
        lines = [
            json.dumps(
                {
                    "key": r.key,
                    "identity": r.identity,
                    "cells": {c: [x.text, x.kind] for c, x in sorted(r.cells.items())},
                },
                ensure_ascii=False,
            )
            for r in rows
        ]
        tables.append(f"  {json.dumps(table)}: [\n" + ",\n".join(f"   {line}" for line in lines) + "\n  ]")
    head = json.dumps({"version": VERSION, "is_listed": last.is_listed, "documents": dict(sorted(last.documents.items()))},
                      ensure_ascii=False)  # fmt: skip
    return head[:-1] + ',\n "tables": {\n' + ",\n".join(tables) + "\n }\n}\n"
