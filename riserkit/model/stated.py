"""What a site states, without what it takes for granted: the ground of every writer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from riserkit.model import catalogue
from riserkit.model.base import Record
from riserkit.model.site import Site


def stated_records(site: Site, table: str) -> Sequence[Record]:
    """The records of a table in the site's order; parts and cable types that are as shipped are left out.

    Raises:
        AttributeError: there is no such table.
    """
    records: Sequence[Record] = getattr(site, table)
    shipped = {"parts": catalogue.PARTS, "cable_types": catalogue.CABLE_TYPES}.get(table, ())
    as_shipped = {item.id: item for item in shipped}
    return tuple(r for r in records if as_shipped.get(getattr(r, "id", "")) != r)


def stated_values(record: Record) -> Mapping[str, Any]:
    """The values that were stated, by field, as text, numbers and booleans in the model's order.

    One that is stated as it would be taken for granted is stated all the same: nobody has to ask for it.
    """
    differs = record.model_dump(mode="json", exclude_defaults=True)
    stated = record.model_dump(mode="json", exclude_unset=True)
    return {n: value for n, value in (stated | differs).items() if n in differs or (value is not None and value != "")}
