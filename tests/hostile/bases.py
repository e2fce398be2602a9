"""Sound sites to spoil: the starting site, the first look, and a few openings of the larger sample with all that they use."""

from __future__ import annotations

import csv
import io
import random
from functools import cache
from pathlib import Path
from typing import Final

from riserkit.starter.tables import starter_texts

Files = dict[str, bytes]
_SAMPLES: Final = Path(__file__).resolve().parents[2] / "sample_drawings"
_MOST_DOORS: Final = 2
_OUTLINES: Final = 4
_LABELS: Final = "kind,subject,label\ncable,{0},0001\nopening,{0},D-0001\n"


def starting_files() -> Files:
    """The starting site's tables."""
    return {name: text.encode() for name, text in starter_texts().items()}


def some_site(chance: random.Random) -> Files:
    """One of the sites, drawn by chance."""
    kind = chance.random()
    if kind < 0.3:
        return starting_files()
    if kind < 0.5:
        return dict(_sample("first-look"))
    return _few_openings(chance)


@cache
def _sample(name: str) -> Files:
    return {path.name: path.read_bytes() for path in sorted((_SAMPLES / name / "site").glob("*.csv"))}


def rows_of(data: bytes) -> list[list[str]]:
    """A table's rows, comments among them."""
    return list(csv.reader(io.StringIO(data.decode("utf-8", "replace"), newline="")))


def table_of(rows: list[list[str]]) -> bytes:
    """A table of rows."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode("utf-8", "surrogatepass")


def _few_openings(chance: random.Random) -> Files:
    files = dict(_sample("seed-archive"))
    marks = [row[0] for row in _plain(files["openings.csv"])[1:]]
    kept = set(chance.sample(marks, chance.randint(1, _MOST_DOORS)))
    files["openings.csv"] = _only(files["openings.csv"], 0, kept)
    files["confirmations.csv"] = _only(files["confirmations.csv"], 0, kept)
    files["acceptances.csv"] = _only(files["acceptances.csv"], 1, kept)
    runs = _plain(files["runs.csv"])
    files["runs.csv"] = table_of([runs[0], *(row for row in runs[1:] if row[2].partition("/")[0] in kept)])
    supplies = _plain(files["supplies.csv"])
    at = supplies[0].index("opening")
    files["supplies.csv"] = table_of([supplies[0], *(row for row in supplies[1:] if not row[at] or row[at] in kept)])
    for name in ("rooms.csv", "walls.csv"):
        files[name] = table_of(_plain(files[name])[: _OUTLINES + 1])
    if chance.random() < 0.3:
        files["issued_labels.csv"] = _LABELS.format(min(kept)).encode()
    return files


def _plain(data: bytes) -> list[list[str]]:
    return [row for row in rows_of(data) if row and not row[0].startswith("#")]


def _only(data: bytes, column: int, kept: set[str]) -> bytes:
    rows = _plain(data)
    return table_of([rows[0], *(row for row in rows[1:] if row[column] in kept)])
