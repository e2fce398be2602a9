"""The tables of a site as one JSON document, spoilt in ways that only a document can be."""

from __future__ import annotations

import json
import random
from collections.abc import Mapping
from typing import Any, Final

from tests.hostile.bases import Files, rows_of

_STRANGE: Final = (
    "NaN", "-Infinity", "1e400", "null", "[]", "{}", "true", '"\\ud800"', "-0", "[[[[]]]]", "0.1", '"\\u0000"', "1E+2", "9" * 400,
    "[" * 32 + "]" * 32, "[" * 3000 + "]" * 3000, '{"a": 1, "a": 2}', '""', '"nan"', '{"x_m": 1}', "1.0000000000000001", '" 1 m "',
)  # fmt: skip


def as_document(files: Mapping[str, bytes], chance: random.Random) -> Files:
    """The tables as one document, a few values of it replaced."""
    text = json.dumps(_document(files))
    for _ in range(chance.randint(0, 2)):
        text = _spoilt(text, chance)
    return {"site.json": text.encode("utf-8", "surrogatepass")}


def _document(files: Mapping[str, bytes]) -> dict[str, Any]:
    document: dict[str, Any] = {}
    for name, data in files.items():
        rows = [row for row in rows_of(data) if row and not row[0].startswith("#")]
        if name == "site.csv":
            document["info"] = {row[0]: row[1] for row in rows[1:] if len(row) > 1}
        elif name.endswith(".csv") and rows:
            records = [{n: v for n, v in zip(rows[0], row, strict=False) if v and n} for row in rows[1:]]
            document[name.removesuffix(".csv")] = records
    return document


def _spoilt(text: str, chance: random.Random) -> str:
    """One value, a name or a sign of the text itself replaced."""
    kind = chance.random()
    if kind < 0.1:
        at = chance.randrange(len(text) + 1)
        return text[:at] + chance.choice('"{}[],:\\\x00é') + text[at + chance.randint(0, 1) :]
    marker = '": "' if kind < 0.8 else '{"'
    places = [n for n in range(len(text)) if text.startswith(marker, n)]
    if not places:
        return text
    at = chance.choice(places)
    if marker == '{"':
        name = chance.choice(["mark", "id", "x_m", "nan", "", "a" * 500, "\\u202e", "kind"])
        return f'{text[: at + 1]}"{name}": {chance.choice(_STRANGE)}, {text[at + 1 :]}'
    end = text.find('"', at + 4)
    return text if end < 0 else text[: at + 3] + chance.choice(_STRANGE) + text[end + 1 :]
