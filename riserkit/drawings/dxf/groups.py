"""Groups of a drawing: what a drafter picks as one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from ezdxf.document import Drawing

from riserkit.drawings.dxf.text import escape_text

_MOST_CHARACTERS: Final = 200


class Groups:
    """The groups of one document by the names that its maker has for them."""

    def __init__(self, doc: Drawing) -> None:
        self._doc = doc
        self._named: dict[tuple[str, str], Any] = {}

    def add(self, name: str, entities: Sequence[Any]) -> None:
        """Put entities into the group of a name and of their space, made when it is first used."""
        if entities:
            key = name, entities[0].dxf.owner
            if key not in self._named:
                self._named[key] = self._doc.groups.new(self._free_name(name), escape_text(name))
            self._named[key].extend(entities)

    def _free_name(self, name: str) -> str:
        """One that DXF takes, of its own."""
        plain = "".join(c if c.isalnum() or c in " -_." else "_" for c in name)[:_MOST_CHARACTERS]
        found, n = plain, 1
        while found in self._doc.groups:
            n += 1
            found = f"{plain}_{n}"
        return found


def set_group_order(doc: Drawing) -> None:
    """Members in the order of their handles: the library reads them as a set, whose order differs from run to run."""
    for _, group in doc.groups:
        group.set_data(sorted(group, key=lambda entity: int(entity.dxf.handle, 16)))
