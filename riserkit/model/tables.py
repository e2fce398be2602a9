"""The tables of a site and what they contain, for whoever reads or writes one: field names, kinds, which are required.

Everything is read off the models, so a new field is known to every format at once.
"""

from __future__ import annotations

import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Any, Final, Literal

from riserkit.model.base import Record
from riserkit.model.cabling import CableType, PathwaySegment, Reel, Run
from riserkit.model.choices import spellings
from riserkit.model.confirmations import Confirmation
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.parts import Part
from riserkit.model.place import Building, Closet, Level, PathwayNode, Room, Wall
from riserkit.model.power import Supply, Switch, Ups
from riserkit.model.records import Acceptance, IssuedLabel, NameList, Revision
from riserkit.quantities.stated import UNITS

Kind = Literal["quantity", "number", "whole", "yes-no", "text"]
_PART_KINDS: Final[tuple[type[Record], ...]] = typing.get_args(typing.get_args(Part)[0])

# The site's own facts are the table `info`; the rest are named as in a site. Parts are one table of many kinds.
RECORDS: Final[Mapping[str, tuple[type[Record], ...]]] = MappingProxyType(
    {
        "info": (SiteInfo,),
        "buildings": (Building,),
        "levels": (Level,),
        "closets": (Closet,),
        "switches": (Switch,),
        "supplies": (Supply,),
        "upses": (Ups,),
        "pathway_nodes": (PathwayNode,),
        "pathway_segments": (PathwaySegment,),
        "cable_types": (CableType,),
        "parts": _PART_KINDS,
        "openings": (Opening,),
        "runs": (Run,),
        "reels": (Reel,),
        "rooms": (Room,),
        "walls": (Wall,),
        "issued_labels": (IssuedLabel,),
        "acceptances": (Acceptance,),
        "confirmations": (Confirmation,),
        "revisions": (Revision,),
    }
)


@dataclass(frozen=True, slots=True)
class FieldFacts:
    """What a reader needs to know of one field.

    Args of note:
        suffix: for a quantity the key of `quantity.UNITS` that its name ends in, such as `m`; else empty.
        required: every kind of record in the table needs it.
        may_be_empty: empty text is what it is when left out.
        separator: of a text that lists names, what parts them; empty where it is no list.
    """

    name: str
    kind: Kind
    suffix: str
    required: bool
    may_be_empty: bool
    separator: str = ""


@cache
def choices_of(table: str) -> Mapping[str, Mapping[str, str]]:
    """By field that holds one of a few words, the word for each way to write it.

    Raises:
        KeyError: there is no such table.
    """
    words: dict[str, list[str]] = {}
    for model in RECORDS[table]:
        for name, info in model.model_fields.items():
            words.setdefault(name, []).extend(words_of_choice(info.annotation))
    return MappingProxyType({n: spellings(f"{table}.{n}", tuple(found)) for n, found in words.items() if found})


def words_of_choice(annotation: Any) -> Iterator[str]:
    """The words of a literal or an enumeration in an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        yield from (str(member.value) for member in annotation)
    elif typing.get_origin(annotation) is typing.Literal:
        yield from (word for word in typing.get_args(annotation) if isinstance(word, str))
    else:
        for argument in typing.get_args(annotation):
            yield from words_of_choice(argument)


@cache
def fields_of(table: str) -> Mapping[str, FieldFacts]:
    """The fields of a table by name, in the order of the model.

    Raises:
        KeyError: there is no such table.
    """
    return fields_of_records(RECORDS[table])


@cache
def fields_of_records(models: tuple[type[Record], ...]) -> Mapping[str, FieldFacts]:
    """The fields of the records of one table by name, in the order of the models."""
    facts: dict[str, FieldFacts] = {}
    for model in models:
        for name, info in model.model_fields.items():
            required = all(name in m.model_fields and m.model_fields[name].is_required() for m in models)
            kind, suffix = _kind(name, info.annotation)
            separator = next((m.separator for m in info.metadata if isinstance(m, NameList)), "")
            facts.setdefault(name, FieldFacts(name, kind, suffix, required, info.default == "", separator))
    return MappingProxyType(facts)


def _kind(name: str, annotation: Any) -> tuple[Kind, str]:
    leaves = set(_leaves(annotation))
    if bool in leaves:
        return "yes-no", ""
    if int in leaves:
        return "whole", ""
    if float in leaves:
        stem, _, suffix = name.rpartition("_")
        return ("quantity", suffix) if stem and suffix in UNITS else ("number", "")
    return "text", ""


def _leaves(annotation: Any) -> Iterator[Any]:
    """The plain types in an annotation, such as float in `Annotated[float, ...] | None`."""
    if typing.get_origin(annotation) is typing.Literal:
        yield str
    elif arguments := typing.get_args(annotation):
        for argument in arguments[:1] if typing.get_origin(annotation) is typing.Annotated else arguments:
            yield from _leaves(argument)
    else:
        yield annotation
