"""A sound site, spoilt by chance but along its own structure: cells, rows, columns, files, mapping; the same for one seed.

Half of the changes are such as somebody types in a hurry (a word of another column, a slipped decimal point, a row too
many), so that many a site is still read and goes on to design and check; the others mean no good.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Final

from riserkit.model.tables import RECORDS, choices_of, fields_of
from tests.hostile.bases import Files, rows_of, some_site, starting_files, table_of
from tests.hostile.documents import as_document

__all__ = ["VALUES", "Files", "mutated", "starting_files"]

VALUES: Final = (
    "", " ", "0", "-1", "1", "nan", "inf", "1e400", "1e-320", "-0.0", "9" * 400, "1,5", "1.015,5", "12'-6\"", "5 mm", "0 V",
    "yes", "no", "x", "'", "=1+1", "＝1", "L1", "L2", "101", "102", "TR1", "SW1", "101/lock", "cat6", "strike-12-secure",
    "magnet-12", "fail-safe", "fail-secure", "delayed", "mechanical", "double", "gate", "A9", "ISO A3", "2026-02-30",
    "Б", "é", "e\u0301", "\u202e", "\x1b[2J", "\u2028", "\ufeff", "\U0001f6aa", "../x", "/etc/passwd", "[/red]", "%%c", "\\P",
    "<b>", "a" * 401, "a" * 25, "POLYGON ((0 0, 1 0, 1 1, 0 0))", "14000", "10000001", "1970-01-01", "9999-12-31", "0000-00-00",
    "1e308", "-1e308", "4.9e-324", "٣", "½", "１", "1 000", "1_000", "0x10", "1/0", "|", ";", "\t", "\x00", "\ud800",
    "GEOMETRYCOLLECTION EMPTY", "POLYGON ((0 0, nan 0, 1 1, 0 0))", "POLYGON EMPTY", "LINESTRING (0 0, 1e308 1e308)",
    "{}", "[]", "null", "NaN", "#N/A", "CON", ".", "..", "a/b", "a\\b", "T-501", "%s", "{0}", "${x}", "\\U+0000", "%%0", "^J",
)  # fmt: skip
"""What has failed somewhere once, or means something to one of the languages that a value passes through."""
_SCALES: Final = (0.0, -1.0, 1e-9, 1e-3, 0.01, 0.0254, 0.1, 0.3048, 0.5, 2.0, 3.2808, 10.0, 100.0, 1e3, 1e6, 1e9, 1e300)


def mutated(seed: int, steps: int = 3) -> Files:
    """The site of a seed: `steps` changes at most, each of a kind drawn by chance; sometimes as one JSON document."""
    chance = random.Random(seed)
    files = some_site(chance)
    as_json, wild = chance.random() < 0.2, chance.random() < 0.4
    for _ in range(chance.randint(1, steps)):
        chance.choice(_WILD if wild else _TYPED)(files, chance)
    return as_document(files, chance) if as_json else files


def _table(files: Files, chance: random.Random) -> tuple[str, list[list[str]]]:
    name = chance.choice(sorted(n for n in files if n.endswith(".csv")) or ["openings.csv"])
    return name, rows_of(files.get(name, b"mark\n")) or [["mark"]]


def _head(rows: list[list[str]]) -> int:
    return next((n for n, row in enumerate(rows) if row and not row[0].startswith("#")), 0)


def _records_of(name: str) -> str:
    table = name.removesuffix(".csv")
    return "info" if table == "site" else table


def _likely(table: str, column: str, now: str, rows: list[list[str]], at: int, chance: random.Random) -> str:
    """What somebody may have meant to type in this column."""
    kinds: list[Callable[[], str]] = [lambda: "", lambda: _scaled(now, chance)]
    if table in RECORDS:
        words = choices_of(table).get(column)
        if words:
            kinds += [lambda: chance.choice(sorted(words))] * 4
        facts = fields_of(table).get(column)
        if facts and facts.kind in ("yes-no", "whole"):
            kinds += [lambda: chance.choice(["yes", "no", "0", "1", "2", "3", "4", "8", "24", "65536"])] * 3
        if facts and facts.kind in ("quantity", "number"):
            kinds += [lambda: f"{chance.choice([0, 0.1, 0.5, 1, 2.5, 12, 24, 90, 100, 1000]):g}"] * 3
    others = [row[at] for row in rows if len(row) > at and row[at]]
    if others:
        kinds += [lambda: chance.choice(others)] * 2
    return chance.choice(kinds)()


def _scaled(now: str, chance: random.Random) -> str:
    try:
        return f"{float(now) * chance.choice(_SCALES):.6g}"
    except ValueError:
        return now[:-1] if chance.random() < 0.5 else now.upper()


def _likely_cell(files: Files, chance: random.Random) -> None:
    """One cell, of a column that is there or of one of the many that a table may have."""
    name, rows = _table(files, chance)
    head = _head(rows)
    table = _records_of(name)
    if table == "info" and len(rows) > head + 1:
        row = chance.choice(rows[head + 1 :])
        if len(row) > 1:
            row[1] = _likely("info", row[0], row[1], rows, 1, chance)
        if chance.random() < 0.3:
            field = chance.choice(sorted(fields_of("info")))
            rows.append([field, _likely("info", field, "1", rows, 1, chance)])
    elif len(rows) > head + 1:
        if table in RECORDS and chance.random() < 0.4:
            new = chance.choice(sorted(set(fields_of(table)) - set(rows[head])) or ["mark"])
            width = len(rows[head])
            rows[head].append(new)
            rows[head + 1 :] = [[*row, *[""] * (width + 1 - len(row))] for row in rows[head + 1 :]]
        row = chance.choice(rows[head + 1 :])
        if row:
            at = chance.randrange(len(row))
            column = rows[head][at] if at < len(rows[head]) else ""
            row[at] = _likely(table, column, row[at], rows[head + 1 :], at, chance)
    files[name] = table_of(rows)


def _reference(files: Files, chance: random.Random) -> None:
    """A name of one table put where another stands, so that things refer to one another in ways nobody drew."""
    name, rows = _table(files, chance)
    other = rows_of(files[chance.choice(sorted(n for n in files if n.endswith(".csv")))]) if files else rows
    names = [row[0] for row in other[_head(other) + 1 :] if row]
    row = chance.choice(rows)
    if row and names:
        row[chance.randrange(len(row))] = chance.choice([*names, f"{chance.choice(names)}/lock", f"{names[0]}/rex"])
    files[name] = table_of(rows)


def _cell(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    row = chance.choice(rows)
    if row:
        row[chance.randrange(len(row))] = chance.choice(VALUES)
    files[name] = table_of(rows)


def _cell_of_text(files: Files, chance: random.Random) -> None:
    """A strange value where any text is welcome, so that it travels on into labels, findings and drawings."""
    name, rows = _table(files, chance)
    head = _head(rows)
    wanted = {"name", "title", "secured_side", "unsecured_side", "reason", "description", "project", "note", "colours"}
    ats = [n for n, column in enumerate(rows[head]) if column in wanted]
    body = [row for row in rows[head + 1 :] if row]
    if name == "site.csv" and body:
        chance.choice(body)[-1] = chance.choice(VALUES)
    elif ats and body:
        row, at = chance.choice(body), chance.choice(ats)
        row += [""] * (at + 1 - len(row))
        row[at] = chance.choice(VALUES)
    files[name] = table_of(rows)


def _column(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    added = chance.choice([*VALUES, "port", "lock_count", "egress", "width_m"])
    files[name] = table_of([[*row, added] for row in rows])


def _row(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    at = chance.randrange(len(rows))
    changed = [rows[at][:-1], rows[at] * 2, []][chance.randrange(3)]
    new = [*rows[:at], changed, *rows[at:]] if chance.random() < 0.5 else [*rows[:at], *rows[at + 1 :]]
    files[name] = table_of(new)


def _twice(files: Files, chance: random.Random) -> None:
    """A row a second time under another name, as copying in a spreadsheet does."""
    name, rows = _table(files, chance)
    body = rows[_head(rows) + 1 :]
    if body and (row := chance.choice(body)):
        files[name] = table_of([*rows, [f"{row[0]}{chance.choice(['', 'A', ' ', '-2'])}", *row[1:]]])


def _swap(files: Files, chance: random.Random) -> None:
    name, rows = _table(files, chance)
    one, other = chance.choice(rows), chance.choice(rows)
    if one and other:
        a, b = chance.randrange(len(one)), chance.randrange(len(other))
        one[a], other[b] = other[b], one[a]
    files[name] = table_of(rows)


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
    table = chance.choice(["openings", "closets", "runs", "parts", "site", "x"])
    field = chance.choice(sorted(fields_of(table))) if table in RECORDS else chance.choice(["name", "units"])
    files["mapping.toml"] = "".join(
        chance.choice(
            [
                f"[{table}.constants]\n{field} = {value}\n", f"[{table}.defaults]\n{field} = {value}\n",
                f"[{table}.columns]\n{field} = {value}\n", f"[{table}]\nfile = {value}\n", f"ignore = [{value}]\n",
                f'[[{table}.keep]]\ncolumn = "mark"\nin = [{value}]\n', f"[{table}.values.{field}]\nL1 = {value}\n",
                f"[{table}.constants]\n{field} = {chance.choice(['nan', '-inf', '1e400', '0x10', '1979-05-27', '[[1]]'])}\n",
                f"{value} = 1\n", f"[{table}]\nkeep = {value}\n", f"{table} = {value}\n", f"[[{table}]]\nfile = {value}\n",
                f'[{table}.values.{field}]\n"" = {value}\n', f"[{table}.values]\n{field} = {value}\n",
            ]
        )
        for _ in range(chance.randint(1, 2))
    ).encode("utf-8", "surrogatepass")  # fmt: skip


def _accepted(files: Files, chance: random.Random) -> None:
    """An engineer's acceptances, confirmations and issued labels, which a set lives with for years."""
    marks = [row[0] for row in rows_of(files.get("openings.csv", b""))[1:] if row] or ["101"]
    mark, value = chance.choice([*marks, *VALUES]), chance.choice(VALUES)
    date = chance.choice(["2026-03-14", "2026-03-14", "3026-01-01", "0001-01-01", value])
    name, table = chance.choice(
        [
            ("acceptances.csv", [["rule", "subject", "reason", "name", "date", "value", "severity"],
                                 ["channel-length", mark, value or "why", "A. Name", date, value, "error"]]),
            ("confirmations.csv", [["opening", "condition", "name", "date"], [mark, value, "A. Name", date]]),
            ("issued_labels.csv", [["kind", "subject", "label"], [chance.choice(["cable", "opening", "port", value]), mark, value]]),
            ("revisions.csv", [["index", "date", "description", "name"], [value or "A", date, value, value]]),
        ]
    )  # fmt: skip
    files[name] = table_of(table)


_Change = Callable[[Files, random.Random], None]
_TYPED: Final[tuple[_Change, ...]] = (
    _likely_cell, _likely_cell, _likely_cell, _likely_cell, _likely_cell, _likely_cell, _cell_of_text, _cell_of_text,
    _twice, _reference,
)  # fmt: skip
_WILD: Final[tuple[_Change, ...]] = (
    _cell, _cell, _cell, _cell, _column, _row, _swap, _file, _bytes, _mapping, _mapping, _accepted, _accepted,
)  # fmt: skip
