"""Reads and writes a site as a folder of tables, the way spreadsheets save them.

One file a table, named after it: `openings.csv`, `levels.csv`, `closets.csv` and so on; `site.csv` has two columns, key
and value. Only openings are needed. The first row that is neither blank nor a comment (`# ...`) names the columns.

* Names of files and columns are read without regard to case, spaces, brackets or underscores: `Length (m)` is
  `length_m`. `Length ft` is `length_m` too, with bare numbers taken in feet, and so for every unit of a quantity.
* Encoding is taken from the byte-order mark, else UTF-8, else Windows-1252. Columns are divided by `,`, `;` or tabs.
* In a table divided by semicolons `4,5` is four and a half, unless its numbers are written with points.
* An empty cell says nothing: the default holds. A cell of a single `'` is empty text.
* A cell that begins with `=` is refused: it is a formula whose value was not saved. `'=` is the text `=`.
* `yes`, `no`, `true`, `false`, `1`, `0` and `x` are understood where a yes or no belongs.

Foreign tables need a mapping file, `mapping.toml` in the folder or the option `mapping`; see `riserkit_csv.mapping`.
"""

from __future__ import annotations

from pathlib import Path

from riserkit.model.raw import RawSite
from riserkit.plugin.hooks import hookimpl


@hookimpl
def site_formats() -> str:
    """What this plugin reads."""
    return "a folder of tables: openings.csv, levels.csv, closets.csv and so on (csv)"


@hookimpl
def read_site(path: Path, options: dict[str, str]) -> RawSite | None:
    """Read a folder of tables, or None when there is none."""
    from riserkit_csv.site import claims, read_folder  # noqa: PLC0415  loaded only when there is something to read

    return read_folder(path, options) if claims(path, options) else None
