"""Writes a site as a JSON document that reads back as the same site."""

from __future__ import annotations

import json
from typing import Any

from riserkit.model.assemble import TABLES
from riserkit.model.site import Site
from riserkit.model.stated import stated_records, stated_values


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
