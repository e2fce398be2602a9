"""A row of a table that documents give: its cells, each with where it was found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from riserkit.importing.facts import At, DoorFact


@dataclass(frozen=True, slots=True)
class ImportedCell:
    """What is to stand in a cell, where it was found, and from what it was inferred; empty when it is stated there."""

    text: str
    at: At
    why: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table.

    Args of note:
        key: what names it within its table.
        identity: what names it within its document, over versions.
        door: the door that an opening was made of, so that its hand can follow the secured side that the user states.
    """

    key: str
    cells: Mapping[str, ImportedCell]
    identity: str = ""
    door: DoorFact | None = None
