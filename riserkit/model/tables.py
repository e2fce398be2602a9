"""The tables of a site and what stands in them, for whoever reads or writes one: field names, kinds, which are required.

Everything is read off the models, so a new field is known to every format at once.
"""

from __future__ import annotations

import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Final, Literal

from riserkit.model.base import Record
from riserkit.model.cabling import CableType, PathwaySegment, Run
from riserkit.model.opening import Opening
from riserkit.model.parts import Part
from riserkit.model.place import Building, Closet, Level, PathwayNode, Room, Wall
from riserkit.model.power import Supply, Switch
from riserkit.model.quantity import UNITS
from riserkit.model.records import Acceptance, IssuedLabel, Revision
from riserkit.model.site import SiteInfo

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
        "pathway_nodes": (PathwayNode,),
        "pathway_segments": (PathwaySegment,),
        "cable_types": (CableType,),
        "parts": _PART_KINDS,
        "openings": (Opening,),
        "runs": (Run,),
        "rooms": (Room,),
        "walls": (Wall,),
        "issued_labels": (IssuedLabel,),
        "acceptances": (Acceptance,),
        "revisions": (Revision,),
    }
)


@dataclass(frozen=True, slots=True)
class FieldFacts:
    """What a reader needs to know of one field.

    Args of note:
        suffix: for a quantity the key of `quantity.UNITS` that its name ends in, such as `m`; else empty.
        required: every kind of record in the table needs it.
    """

    name: str
    kind: Kind
    suffix: str
    required: bool


@cache
def fields_of(table: str) -> Mapping[str, FieldFacts]:
    """The fields of a table by name, in the order of the model.

    Raises:
        KeyError: there is no such table.
    """
    models = RECORDS[table]
    facts: dict[str, FieldFacts] = {}
    for model in models:
        for name, info in model.model_fields.items():
            required = all(name in m.model_fields and m.model_fields[name].is_required() for m in models)
            facts.setdefault(name, _facts(name, info.annotation, required))
    return MappingProxyType(facts)


def _facts(name: str, annotation: Any, required: bool) -> FieldFacts:
    leaves = set(_leaves(annotation))
    suffix = name.rpartition("_")[2]
    if bool in leaves:
        return FieldFacts(name, "yes-no", "", required)
    if int in leaves:
        return FieldFacts(name, "whole", "", required)
    if float in leaves:
        known = suffix in UNITS and suffix != name
        return FieldFacts(name, "quantity" if known else "number", suffix if known else "", required)
    return FieldFacts(name, "text", "", required)


def _leaves(annotation: Any) -> Iterator[Any]:
    """The plain types in an annotation, such as float in `Annotated[float, ...] | None`."""
    if typing.get_origin(annotation) is typing.Literal:
        yield str
    elif arguments := typing.get_args(annotation):
        for argument in arguments[:1] if typing.get_origin(annotation) is typing.Annotated else arguments:
            yield from _leaves(argument)
    else:
        yield annotation
