"""A sound site, spoilt by chance but along its own structure: cells, rows, columns, files, mapping; the same for one seed."""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Callable, Mapping
from typing import Final

from riserkit.starter.tables import starter_texts

Files = dict[str, bytes]
VALUES: Final = (
    "", " ", "0", "-1", "1", "nan", "inf", "1e400", "1e-320", "-0.0", "9" * 400, "1,5", "1.015,5", "12'-6\"", "5 mm", "0 V",
    "yes", "no", "x", "'", "=1+1", "＝1", "L1", "L2", "101", "102", "TR1", "SW1", "101/lock", "cat6", "strike-12-secure",
    "magnet-12", "fail-safe", "fail-secure", "delayed", "mechanical", "double", "gate", "A9", "ISO A3", "2026-02-30",
    "Б", "é", "e\u0301", "\u202e", "\x1b[2J", "\u2028", "\ufeff", "\U0001f6aa", "../x", "/etc/passwd", "[/red]", "%%c", "\\P",
    "<b>", "a" * 401, "a" * 25, "POLYGON ((0 0, 1 0, 1 1, 0 0))", "14000", "10000001",
)  # fmt: skip
"""What has failed somewhere once, or means something to one of the languages that a value passes through."""


def starting_files() -> Files:
    """The starting site's tables."""
    return {name: text.encode() for name, text in starter_texts().items()}


def mutated(seed: int, steps: int = 3) -> Files:
    """The site of a seed: `steps` changes at most, each of a kind drawn by chance; sometimes as one JSON document."""
    chance = random.Random(seed)
    files = starting_files()
    for _ in range(chance.randint(1, steps)):
        chance.choice(_CHANGES)(files, chance)
    return _as_document(files, chance) if chance.random() < 0.15 else files


def _rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8", "replace"), newline="")))


def _put(files: Files, name: str, rows: list[list[str]]) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    files[name] = out.getvalue().encode("utf-8", "surrogatepass")


def _table(files: Files, chance: random.Random) -> tuple[str, list[list[str]]]:
    name = chance.choice(sorted(n for n in files if n.endswith(".csv")) or ["openings.csv"])
    return name, _rows(files.get(name, b"mark\n")) or [["mark"]]


def _cell(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    row = chance.choice(rows)
    if row:
        row[chance.randrange(len(row))] = chance.choice(VALUES)
    _put(files, name, rows)


def _column(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    _put(files, name, [[*row, chance.choice([*VALUES, "port", "lock_count", "egress", "width_m"])] for row in rows])


def _row(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    at = chance.randrange(len(rows))
    changed = [rows[at][:-1], rows[at] * 2, []][chance.randrange(3)]
    _put(files, name, [*rows[:at], changed, *rows[at:]] if chance.random() < 0.5 else [*rows[:at], *rows[at + 1 :]])


def _swap(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    one, other = chance.choice(rows), chance.choice(rows)
    if one and other:
        a, b = chance.randrange(len(one)), chance.randrange(len(other))
        one[a], other[b] = other[b], one[a]
    _put(files, name, rows)


def _file(files: Files, chance: random.Random) -> None:
    name = chance.choice(sorted(files) or ["x.csv"])
    data = files.pop(name, b"")
    if chance.random() < 0.5:
        files[chance.choice(["runs.csv", "parts.csv", "site.json", "x.csv", "Openings.CSV", "mapping.toml"])] = data


def _bytes(files: Files, chance: random.Random) -> None:
    name = chance.choice(sorted(files) or ["x.csv"])
    data = bytearray(files.get(name, b""))
    for _ in range(chance.randint(1, 4)):
        if data:
            data[chance.randrange(len(data))] = chance.choice(b'\x00\xff"\n,;\r\x9b#=')
    files[name] = bytes(data)


def _mapping(files: Files, chance: random.Random) -> None:
    value = json.dumps(chance.choice(VALUES), ensure_ascii=True)
    files["mapping.toml"] = chance.choice(
        [
            f"[openings.constants]\nname = {value}\n", f"[openings.defaults]\nlock = {value}\n",
            f"[openings.columns]\nname = {value}\n", f"[openings]\nfile = {value}\n", f"ignore = [{value}]\n",
            f'[[openings.keep]]\ncolumn = "mark"\nin = [{value}]\n', f"[openings.values.level]\nL1 = {value}\n",
            f"[site.constants]\nname = {value}\n", "[openings.constants]\nx_m = nan\n", f"{value} = 1\n",
        ]
    ).encode()  # fmt: skip


_CHANGES: Final[tuple[Callable[[Files, random.Random], None], ...]] = (
    _cell, _cell, _cell, _cell, _column, _row, _swap, _file, _bytes, _mapping,
)  # fmt: skip


def _as_document(files: Mapping[str, bytes], chance: random.Random) -> Files:
    """The tables as one document, one value of it replaced by something that JSON alone can say."""
    document: dict[str, object] = {}
    for name, data in files.items():
        rows = [row for row in _rows(data) if row and not row[0].startswith("#")]
        table = name.removesuffix(".csv")
        if name == "site.csv":
            document["info"] = {row[0]: row[1] for row in rows[1:] if len(row) > 1}
        elif name.endswith(".csv") and rows:
            document[table] = [{n: v for n, v in zip(rows[0], row, strict=False) if v and n} for row in rows[1:]]
    text = json.dumps(document)
    strange = chance.choice(["NaN", "1e400", "null", "[]", "{}", "true", '"\\ud800"', "-0", "[[[[]]]]", "0.1"])
    places = [n for n in range(len(text)) if text.startswith('": "', n)]
    if places:
        at = chance.choice(places) + 3
        text = text[:at] + strange + text[text.index('"', at + 1) + 1 :]
    return {"site.json": text.encode("utf-8", "surrogatepass")}
