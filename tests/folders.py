"""What stands in files and folders."""

from __future__ import annotations

import csv
from pathlib import Path


def csv_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a table by their columns."""
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def bytes_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path from there."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
