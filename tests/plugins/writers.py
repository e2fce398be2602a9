"""Sites written as tables and as a document, for tests that what was written reads back as the same site."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from riserkit_csv.cells import guard
from riserkit_csv.info import KEYS

from riserkit.model.assemble import TABLES
from riserkit.model.site import Site
from riserkit.model.stated import stated_records, stated_values
from riserkit.model.tables import fields_of
from riserkit.results.new_folder import write_new_folder


def write_tables(site: Site, folder: Path) -> None:
    """Write every table of a site that has something in it; the folder appears whole or not at all.

    Raises:
        FolderError: the folder is not empty, or cannot be written.
    """
    write_new_folder(folder, table_texts(site))


def table_texts(site: Site) -> Mapping[str, str]:
    """The text of every table by file name: comma-separated, UTF-8 to be, lines ended by a newline.

    Only columns that some record uses are written. Text that a spreadsheet would take for a formula is guarded as
    `riserkit_csv.cells` says.
    """
    texts: dict[str, str] = {}
    info = stated_values(site.info)
    if info:
        texts["site.csv"] = _text([KEYS, *((name, _cell(value)) for name, value in info.items())])
    for table in TABLES:
        rows = [stated_values(record) for record in stated_records(site, table)]
        if rows:
            used = {name for row in rows for name in row}
            columns = [name for name in fields_of(table) if name in used]
            lines = [[_cell(row[name]) if name in row else "" for name in columns] for row in rows]
            texts[f"{table}.csv"] = _text([columns, *lines])
    return texts


def to_json(site: Site) -> str:
    """A site as text, UTF-8 to be, with a newline at its end.

    Only what the site states is written: no defaults, no empty tables, and no catalogue parts or cable types as shipped.
    """
    document: dict[str, Any] = {}
    info = stated_values(site.info)
    if info:
        document["info"] = info
    for table in TABLES:
        records = [stated_values(record) for record in stated_records(site, table)]
        if records:
            document[table] = records
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return guard(value) if isinstance(value, str) else str(value)


def _text(rows: Iterable[Sequence[str]]) -> str:
    return "".join(",".join(map(_quoted, row)) + "\n" for row in rows)


def _quoted(cell: str) -> str:
    # A row that begins with # would be a comment.
    if cell.startswith("#") or any(sign in cell for sign in ',"\r\n;\t'):
        return '"' + cell.replace('"', '""') + '"'
    return cell
