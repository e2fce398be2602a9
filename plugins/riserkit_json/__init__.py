"""Reads and writes a site as one JSON document.

The document is an object: `info` has the site's own facts, and every table (`openings`, `levels`, `closets` and so on)
is an array of objects with the same field names as everywhere. `site.schema.json` beside this file is its JSON Schema.
"""

from __future__ import annotations

from pathlib import Path

from riserkit.model.raw import RawSite
from riserkit.plugin.hooks import hookimpl


@hookimpl
def site_formats() -> str:
    """What this plugin reads."""
    return "one document SITE.json, or a folder with site.json in it (json)"


@hookimpl
def read_site(path: Path, options: dict[str, str]) -> RawSite | None:
    """Read a document, or None when there is none."""
    from riserkit_json.reader import find_document, read_document  # noqa: PLC0415  loaded only when needed

    document = find_document(path)
    return None if document is None else read_document(document, options)
