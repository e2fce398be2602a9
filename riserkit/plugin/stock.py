"""Parts and cable types of plugins, put behind those that ship."""

from __future__ import annotations

from typing import cast, get_args

from riserkit.model.cabling import CableType
from riserkit.model.parts import Part, PartBase
from riserkit.model.stock import SHIPPED_STOCK, Stock
from riserkit.plugin.asking import listed, without_clashes
from riserkit.plugin.manager import Plugins

_KINDS: tuple[type[PartBase], ...] = get_args(get_args(Part)[0])


def whole_stock(plugins: Plugins) -> Stock:
    """The shipped parts and cable types with those of plugins; what is not made as one has to be is named in the log."""
    parts = ((p, cast(Part, x)) for p, x in listed(plugins.manager, plugins.log, "more_parts", "part", _part_fault))
    types = (
        (p, cast(CableType, x))
        for p, x in listed(plugins.manager, plugins.log, "more_cable_types", "cable type", _type_fault)
    )
    known_parts = {part.id: "riserkit" for part in SHIPPED_STOCK.parts}
    known_types = {kind.id: "riserkit" for kind in SHIPPED_STOCK.cable_types}
    more_parts = [x for _, x in without_clashes(parts, plugins.log, "part", known_parts, lambda part: part.id)]
    more_types = [x for _, x in without_clashes(types, plugins.log, "cable type", known_types, lambda kind: kind.id)]
    return Stock((*SHIPPED_STOCK.parts, *more_parts), (*SHIPPED_STOCK.cable_types, *more_types))


def _part_fault(thing: object) -> str:
    if not isinstance(thing, _KINDS):
        return f"it is a {type(thing).__name__}; expected a part, such as Lock or Controller"
    type(thing).model_validate(dict(thing))  # made without validation, it may hold anything
    return ""


def _type_fault(thing: object) -> str:
    if not isinstance(thing, CableType):
        return f"it is a {type(thing).__name__}; expected a CableType"
    CableType.model_validate(dict(thing))
    return ""
