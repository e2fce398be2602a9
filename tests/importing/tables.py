"""Reads the tables that an import wrote, as a spreadsheet would."""

from __future__ import annotations

import csv
import json
from pathlib import Path


def rows(site: Path, table: str, key: str = "") -> dict[str, dict[str, str]]:
    with (site / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(line for line in file if not line.startswith("#")))
    key = key or ("mark" if table == "openings" else "id")
    return {row.get(key, str(n)): row for n, row in enumerate(found)}


def set_cells(site: Path, table: str, row: str, **cells: str) -> None:
    """Change cells as a user would in a spreadsheet."""
    path = site / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    names = list(dict.fromkeys([*found[0], *cells]))
    for one in found:
        if one["mark" if table == "openings" else "id"] == row:
            one.update(cells)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, names, lineterminator="\n")
        writer.writeheader()
        writer.writerows(found)


def report(site: Path, kind: str = "") -> list[dict[str, str]]:
    lines = json.loads((site / "import" / "report.json").read_text("utf-8"))["lines"]
    return [line for line in lines if not kind or line["kind"] == kind]


def texts(site: Path, kind: str) -> str:
    return "\n".join(line["text"] for line in report(site, kind))
