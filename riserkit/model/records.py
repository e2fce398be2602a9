"""What people have decided and put on record: accepted findings, issued labels, revisions."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from riserkit.model.base import EndName, Record, Text


def _iso_date(value: object) -> object:
    if isinstance(value, datetime.date):
        return value
    try:
        return datetime.date.fromisoformat(str(value).strip())
    except ValueError:
        raise ValueError("expected a date as YYYY-MM-DD, such as 2026-03-14") from None


Date = Annotated[datetime.date, BeforeValidator(_iso_date), Field(json_schema_extra={"format": "date"})]
Required = Annotated[Text, StringConstraints(min_length=1)]


class Acceptance(Record):
    """An engineer's acceptance of one finding: which rule, of what, why, who and when. Printed on the drawings."""

    rule: Required
    subject: EndName
    reason: Required
    name: Required
    date: Date


class IssuedLabel(Record):
    """A label that has been issued and therefore never changes. `subject` is what it stands on."""

    kind: Literal["closet", "switch", "port", "cable", "opening"]
    subject: EndName
    label: Required


class Revision(Record):
    """One line of the revision table."""

    index: Annotated[str, StringConstraints(pattern=r"^[A-Z0-9]{1,3}$")]
    date: Date
    description: Required
    name: Text = ""
