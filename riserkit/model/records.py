"""What people have decided and put on record: accepted findings, issued labels, revisions."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Final, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from riserkit.model.base import EndName, FieldError, Record, Text, plain_text
from riserkit.quantities.stated import parse_quantity


def _iso_date(value: object) -> object:
    if isinstance(value, datetime.date):
        return value
    try:
        return datetime.date.fromisoformat(str(value).strip())
    except ValueError:
        raise ValueError("expected a date as YYYY-MM-DD, such as 2026-03-14") from None


Date = Annotated[datetime.date, BeforeValidator(_iso_date), Field(json_schema_extra={"format": "date"})]
Required = Annotated[Text, StringConstraints(min_length=1)]

_NOBODY: Final = frozenset(
    {"na", "tbc", "tbd", "tba", "none", "nobody", "noone", "unknown", "pending", "xx", "xxx", "todo"}
)


def _person(value: object) -> object:
    text = plain_text(value)
    if isinstance(text, str) and text.strip():
        letters = "".join(ch for ch in text.casefold() if ch.isalnum())
        if letters in _NOBODY or not any(ch.isalpha() for ch in letters):
            raise ValueError("expected the name of whoever answers for it")
    return text


Person = Annotated[Text, BeforeValidator(_person), StringConstraints(min_length=1)]
"""Who answers for something: a name, not a placeholder."""


_SUFFIX_OF: Final = MappingProxyType({"m": "m", "V": "v", "A": "a", "W": "w", "s": "s", "ohm": "ohm", "°C": "c"})
_MOST_CHARS: Final = 60
_COUNT: Final = re.compile(r"(\d+(?:\.\d+)?)\s*(%|doors?|ports?)?")


def _in_unit(text: str, unit: str) -> float | None:
    """A value as written, in the unit of a finding; None when it is no such value."""
    if unit in _SUFFIX_OF:
        try:
            return parse_quantity(text, _SUFFIX_OF[unit])
        except ValueError:
            return None
    match = _COUNT.fullmatch(text)
    same = match is not None and (match[2] or unit).rstrip("s") == unit.rstrip("s")
    return float(match[1]) if match is not None and same and len(text) <= _MOST_CHARS else None


def _accepted_value(value: object) -> object:
    text = plain_text(value)
    if not isinstance(text, str) or not text.strip():
        return text
    if all(_in_unit(text.strip(), unit) is None for unit in (*_SUFFIX_OF, "%", "doors", "ports")):
        raise ValueError("expected the value that was accepted, as the finding states it: 94.5 m, 9.9 V or 3 doors")
    return text


AcceptedValue = Annotated[Text, BeforeValidator(_accepted_value)]


@dataclass(frozen=True, slots=True)
class NameList:
    """In a type's annotation: its text is a list of names, which a format with arrays may write as one."""

    separator: str = ", "


def _listed_marks(value: object) -> object:
    """Marks in one text, each once, in the order given: `101, 102A`."""
    text = plain_text(", ".join(map(str, value)) if isinstance(value, list | tuple) else value)
    if not isinstance(text, str):
        return text
    return ", ".join(dict.fromkeys(mark.strip() for mark in re.split("[,;]", text) if mark.strip()))


# As long as a list of every door of a large site may be.
MarkList = Annotated[str, BeforeValidator(_listed_marks), StringConstraints(max_length=100_000), NameList()]


def listed_names(text: str) -> tuple[str, ...]:
    """The names in a list as it is kept, `101, 102A`; none in an empty one."""
    return tuple(text.split(", ")) if text else ()


def others_named(text: str) -> tuple[str, ...]:
    """The names in a list of other things; none where it says `none`, or nothing."""
    return tuple(name for name in listed_names(text) if name != "none")


def expect_others(column: str, text: str, own: str, others: str, names: str) -> None:
    """Raise where a list of other things has the thing's own name, or names beside `none`.

    Args:
        column: that the list stands in.
        text: the list as it is kept.
        own: the name of the thing.
        others: what is listed, such as `the marks of the other openings`.
        names: the same in a word or two, such as `marks`.

    Raises:
        FieldError: it is so.
    """
    listed = listed_names(text)
    if own in listed:
        raise FieldError(column, f"expected {others}, not its own")
    if "none" in listed and len(listed) > 1:
        raise FieldError(column, f"expected either {names}, or none")


class Acceptance(Record):
    """An engineer's acceptance of one finding: which rule, of what, why, who and when. Printed on the drawings.

    It covers what it was written for and never more; what it does not cover speaks again and says why.

    Args of note:
        about: the condition accepted, where the rule judges several of one subject, as the finding states it.
        value: the value that was accepted, with its unit; a finding with a number is covered only by a number.
        doors: the openings it was written for, `101, 102`, where the finding is about several.
        severity: of the finding as it was accepted; an acceptance of an error states `error`.
        authority, reference: who approved it, and the number or date of that approval. A life-safety error is accepted
            only with both.
    """

    rule: Required
    subject: EndName
    reason: Required
    name: Person
    date: Date
    value: AcceptedValue = ""
    about: Text = ""
    doors: MarkList = ""
    severity: Literal["", "error", "warning", "note"] = ""
    authority: Text = ""
    reference: Text = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """Rule, subject and condition that it names, as `Finding.key`."""
        return self.rule, self.subject, self.about

    @property
    def marks(self) -> frozenset[str]:
        """The openings it was written for."""
        return frozenset(listed_names(self.doors))

    def value_in(self, unit: str) -> float | None:
        """The value accepted, in the SI unit of a finding (`m`, `V`, `doors`); None when it is none in that unit.

        Examples:
            >>> given = {"rule": "channel-length", "subject": "101", "reason": "tested", "name": "A. Engineer"}
            >>> Acceptance(**given, date="2026-03-14", value="300 ft").value_in("m")
            91.44
        """
        return _in_unit(self.value, unit)


LabelText = Annotated[str, BeforeValidator(plain_text), StringConstraints(min_length=1, max_length=130)]


class IssuedLabel(Record):
    """A label that has been issued and therefore never changes. `subject` is what it is on, or what a sheet shows.

    `void`: what it stood on has been taken out. The label is not issued again, its port is free.
    """

    kind: Literal["closet", "switch", "port", "cable", "opening", "sheet"]
    subject: EndName
    label: LabelText
    void: bool = False


def _listed_sheets(value: object) -> object:
    """Sheet numbers in one text, each once, in the order given: `T-101, T-501-3`."""
    text = plain_text(", ".join(map(str, value)) if isinstance(value, list | tuple) else value)
    return text if not isinstance(text, str) else ", ".join(dict.fromkeys(re.split(r"[,;\s]+", text.strip(" ,;"))))


SheetList = Annotated[str, BeforeValidator(_listed_sheets), StringConstraints(max_length=200_000), NameList()]


class Revision(Record):
    """One line of the revision table.

    `sheets`: numbers of the sheets that it changed, `T-101, T-501-3`; empty where it is a revision of the whole set.
    """

    index: Annotated[str, StringConstraints(pattern=r"^[A-Z0-9]{1,3}$")]
    date: Date
    description: Required
    name: Text = ""
    sheets: SheetList = ""

    @property
    def numbers(self) -> frozenset[str]:
        """The sheets that it changed; none where it is a revision of the whole set."""
        return frozenset(self.sheets.split(", ")) if self.sheets else frozenset()

    def changes(self, sheet_id: str) -> bool:
        """Whether it stands in the revision table of this sheet."""
        return not self.sheets or sheet_id in self.numbers
