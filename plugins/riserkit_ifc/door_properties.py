"""What the sets of properties of a model say of a door: its mark, its rating, what is at it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any, Final

_MOST_CHARS: Final = 24
_MARKS: Final = (
    "mark",
    "doornumber",
    "number",
    "doormark",
    "doorno",
    "openingnumber",
    "tagnumber",
    "referenceid",
    "doortag",
)
# Values that programs write where nobody stated one: the property's own name, and words for nothing.
_NOTHING: Final = frozenset({"", "n/a", "na", "none", "-", "undefined", "notdefined", "unset", "null"})
_GENERATED = re.compile(r".*:.*:?\d{3,}$|^ifcdoor\b.*", re.IGNORECASE)
_SAID: Final = frozenset({*_MARKS, "isexternal", "firerating", "fireexit", "securityrating"})
_REMARKED: Final = re.compile(
    r"selfclosing|smokestop|hasdrive|hardware|ironmongery|lock|strike|exitdevice|panic|accesscontrol|cardreader|securitytype"
)
"""Names of properties that speak of what is at a door; what they say goes to the remarks."""


class DoorProperties:
    """Properties of doors; those of a type are read once for all its doors."""

    def __init__(self) -> None:
        self._of_type: dict[int, dict[str, str]] = {}

    def of(self, door: Any, kind: Any) -> dict[str, str]:
        """What is said of a door, before what is said of all of its type."""
        if kind is None:
            return _properties(door)
        if kind.id() not in self._of_type:
            self._of_type[kind.id()] = _properties(kind)
        return {**self._of_type[kind.id()], **_properties(door)}


def mark_of(name: str, properties: Mapping[str, str]) -> tuple[str, str]:
    """A door's mark and from what it was taken: a property of that name, else its own name where that is no generated one.

    Args:
        name: the door's own.
        properties: what is said of it.
    """
    for one in _MARKS:
        if properties.get(one):
            return properties[one], f"the property {one}"
    if name and len(name) <= _MOST_CHARS and not _GENERATED.match(name) and re.search(r"\d", name):
        return name, ""
    return "", ""


def remarks_of(properties: Mapping[str, str]) -> list[str]:
    """What properties say of a door that no column takes."""
    found = [f"fire exit: {properties['fireexit']}"] if is_true(properties.get("fireexit")) else []
    found += [f"security rating: {properties['securityrating']}"] if properties.get("securityrating") else []
    return found + [
        f"{name}: {'yes' if is_true(text) else text}" for name, text in sorted(properties.items()) if name not in _SAID
    ]


def _properties(thing: Any) -> dict[str, str]:
    """What sets of properties say of a thing, by name in small letters without spaces; the first that says something holds."""
    found: dict[str, str] = {}
    # By place, not by name, as a model has thousands: of a set its HasProperties, of a property its Name.
    for group in _property_sets(thing):
        for one in group[4] or ():
            name = _read_name(str(one[0] or ""))
            if not name or name in found:
                continue
            value = getattr(one, "NominalValue", None)
            text = "" if value is None else str(getattr(value, "wrappedValue", value)).strip()
            if text.casefold() not in _NOTHING and "".join(text.casefold().split()) != name:
                found[name] = text
    return found


@lru_cache(maxsize=4096)
def _read_name(name: str) -> str:
    """A property's name in small letters without spaces; empty for one that is not read."""
    plain = "".join(name.casefold().split())
    return plain if plain in _SAID or _REMARKED.search(plain) else ""


def _property_sets(thing: Any) -> Iterator[Any]:
    for group in getattr(thing, "HasPropertySets", None) or () if thing.is_a("IfcTypeObject") else ():
        if group.is_a("IfcPropertySet"):
            yield group
    for relation in getattr(thing, "IsDefinedBy", None) or () if thing.is_a("IfcObject") else ():
        if relation.is_a("IfcRelDefinesByProperties"):
            group = relation[5]
            if group is not None and group.is_a("IfcPropertySet"):
                yield group


def truth(text: str | None) -> bool | None:
    """Whether a property says yes or no; None for anything else."""
    return {"true": True, "t": True, "yes": True, "1": True, "false": False, "f": False, "no": False, "0": False}.get(
        (text or "").casefold()
    )


def is_true(text: str | None) -> bool:
    """Whether a property says yes."""
    return truth(text) is True
