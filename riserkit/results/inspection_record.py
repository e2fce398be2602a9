"""The record of inspections in a folder of results: what has not changed since is not inspected again."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from riserkit.drawings.edits.inputs import drawing_code
from riserkit.drawings.legibility.values import SheetInspection, Violation

RECORD: Final = "inspections.json"


def key_of(file_digest: str) -> str:
    """What an inspection of a drawing depends on: its bytes, and all code that may be concerned, libraries too."""
    return sha256(f"{drawing_code()} {file_digest}".encode()).hexdigest()


def record_text(inspected: Iterable[tuple[str, SheetInspection]]) -> str:
    """Inspections with their keys, to be written as `RECORD`."""
    sheets = [{"key": key, **asdict(inspection)} for key, inspection in inspected]
    return json.dumps({"sheets": sheets}, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def read_record(path: Path) -> Mapping[str, SheetInspection]:
    """Earlier inspections by key; none when there is no record or another riserkit wrote it."""
    try:
        sheets = json.loads(path.read_text("utf-8"))["sheets"]
        return {sheet["key"]: _inspection(sheet) for sheet in sheets}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}


def _inspection(sheet: Mapping[str, Any]) -> SheetInspection:
    violations = tuple(
        Violation(**{**v, "model_ids": tuple(v["model_ids"])})
        for v in sheet["violations"]
    )  # fmt: skip
    values = {name: value for name, value in sheet.items() if name != "key"}
    unread = tuple((str(kind), int(count)) for kind, count in sheet["unread"])
    return SheetInspection(**{**values, "unread": unread, "violations": violations})
