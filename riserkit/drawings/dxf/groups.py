"""Groups of a drawing: what a drafter picks as one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from ezdxf.document import Drawing

from riserkit.drawings.dxf.document import add_object
from riserkit.drawings.dxf.text import escape_text

_MOST_CHARACTERS: Final = 200


class Groups:
    """The groups of one document by the names that its maker has for them."""

    def __init__(self, doc: Drawing) -> None:
        self._doc = doc
        self._named: dict[tuple[str, str], Any] = {}
        self._taken = {name.lower() for name, _ in doc.groups}

    def add(self, name: str, entities: Sequence[Any]) -> None:
        """Put entities into the group of a name and of their space, made when it is first used."""
        if entities:
            key = name, entities[0].dxf.owner
            if key not in self._named:
                # the library would hold the name against that of every other group, which this has done
                named = self._doc.groups.object_dict
                said = {"description": escape_text(name), "unnamed": 0, "selectable": 1}
                group = self._named[key] = add_object(self._doc, "GROUP", said, named.dxf.handle)
                named.add(self._free_name(name), group)
            self._named[key].extend(entities)

    def _free_name(self, name: str) -> str:
        """One that DXF takes, of its own."""
        plain = "".join(c if c.isalnum() or c in " -_." else "_" for c in name)[:_MOST_CHARACTERS]
        found, n = plain, 1
        while found.lower() in self._taken:
            n += 1
            found = f"{plain}_{n}"
        self._taken.add(found.lower())
        return found


def set_group_order(doc: Drawing) -> None:
    """Members in the order of their handles: the library reads them as a set, whose order differs from run to run."""
    for _, group in doc.groups:
        group.set_data(sorted(group, key=lambda entity: int(entity.dxf.handle, 16)))
