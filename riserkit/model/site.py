"""The site: everything that the user states, and nothing that follows from it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Any, Self, cast

from pydantic.json_schema import SkipJsonSchema

from riserkit.model.as_built import AsBuilt
from riserkit.model.base import Record, Text
from riserkit.model.cabling import CableType, PathwaySegment, Reel, Run
from riserkit.model.confirmations import Condition, Confirmation
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.parts import Part
from riserkit.model.place import Building, Closet, Level, PathwayNode, Room, Wall
from riserkit.model.power import Supply, Switch, Ups
from riserkit.model.records import Acceptance, IssuedLabel, Revision
from riserkit.quantities.grouping import grouped


class Site(Record):
    """A whole site. Ids are unique within a table and references have been checked by `assemble`."""

    info: SiteInfo = SiteInfo()
    buildings: tuple[Building, ...] = ()
    levels: tuple[Level, ...] = ()
    closets: tuple[Closet, ...] = ()
    switches: tuple[Switch, ...] = ()
    supplies: tuple[Supply, ...] = ()
    upses: tuple[Ups, ...] = ()
    pathway_nodes: tuple[PathwayNode, ...] = ()
    pathway_segments: tuple[PathwaySegment, ...] = ()
    cable_types: tuple[CableType, ...] = ()
    parts: tuple[Part, ...] = ()
    openings: tuple[Opening, ...] = ()
    runs: tuple[Run, ...] = ()
    reels: tuple[Reel, ...] = ()
    rooms: tuple[Room, ...] = ()
    walls: tuple[Wall, ...] = ()
    issued_labels: tuple[IssuedLabel, ...] = ()
    acceptances: tuple[Acceptance, ...] = ()
    confirmations: tuple[Confirmation, ...] = ()
    revisions: tuple[Revision, ...] = ()
    as_built: SkipJsonSchema[AsBuilt | None] = None
    """What has come back, on a site that is worked out as it was built; None on one that is worked out as designed."""
    changed_since: SkipJsonSchema[Text] = ""
    """Revision that the set has changed since, where it is drawn and not issued; empty where it is as issued, or never was."""

    earlier_marks: SkipJsonSchema[tuple[tuple[str, str], ...]] = ()
    """Marks, each with the one that the opening was issued under, where that is another; as issues show it, or as stated."""

    issued_cables: SkipJsonSchema[tuple[tuple[str, str, int], ...]] = ()
    """Of cables at doors that were issued: mark, what the cable serves, and the number of its designation. Where it serves
    nothing any more the number alone is kept, for nothing else may have it."""

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """A changed site. Indexes already made are left behind: they would go on naming the old records."""
        fields = {name: getattr(self, name) for name in type(self).model_fields} | dict(update or {})
        return cast(Self, type(self).model_construct(None, **fields))

    def with_changes(self, *, info: Mapping[str, object] | None = None, **tables: Any) -> Site:
        """This site with some rows changed, added or taken out, checked as if it had been read that way.

        Args:
            info: facts of the site that change, by field.
            tables: by table either rows by key, each with the fields that change (None takes the row out, a new key
                adds one), or a list of all its rows anew. Values are read as in a table: `138 ft`, `500 mA`.

        Raises:
            InputError: the changed site has problems; all of them are named.
            KeyError: there is no such table.
            TypeError: rows by key are given for a table whose rows have none.

        Examples:
            `site.with_changes(openings={"101": {"lock": "strike-12-safe"}, "102": None})`
        """
        from riserkit.model.changes import changed_site  # noqa: PLC0415 - it imports this module

        return changed_site(self, info, tables)

    def level_name(self, level: str) -> str:
        """A level as people call it; its id where it has no name, or the site has no such level."""
        found = self.level.get(level)
        return found.name or found.id if found else level

    def part_title(self, part: str) -> str:
        """A part as it is called on paper; its id where it has no title, or the site has no such part."""
        found = self.part.get(part)
        return found.title or part if found else part

    @cached_property
    def level(self) -> Mapping[str, Level]:
        """Levels by id."""
        return MappingProxyType({x.id: x for x in self.levels})

    @cached_property
    def closet(self) -> Mapping[str, Closet]:
        """Closets by id."""
        return MappingProxyType({x.id: x for x in self.closets})

    @cached_property
    def switch(self) -> Mapping[str, Switch]:
        """Switches by id."""
        return MappingProxyType({x.id: x for x in self.switches})

    @cached_property
    def supply(self) -> Mapping[str, Supply]:
        """Supplies by id."""
        return MappingProxyType({x.id: x for x in self.supplies})

    @cached_property
    def pathway_node(self) -> Mapping[str, PathwayNode]:
        """Pathway nodes by id."""
        return MappingProxyType({x.id: x for x in self.pathway_nodes})

    @cached_property
    def pathway_segment(self) -> Mapping[str, PathwaySegment]:
        """Pathway segments by id."""
        return MappingProxyType({x.id: x for x in self.pathway_segments})

    @cached_property
    def cable_type(self) -> Mapping[str, CableType]:
        """Cable types by id, the shipped ones included."""
        return MappingProxyType({x.id: x for x in self.cable_types})

    @cached_property
    def part(self) -> Mapping[str, Part]:
        """Parts by id, the shipped ones included."""
        return MappingProxyType({x.id: x for x in self.parts})

    @cached_property
    def confirmed(self) -> Mapping[tuple[str, Condition], Confirmation]:
        """Confirmations by (mark, condition)."""
        return MappingProxyType({(x.opening, x.condition): x for x in self.confirmations})

    @cached_property
    def earlier_mark(self) -> Mapping[str, str]:
        """By mark what the opening was called when it was issued, where that is another."""
        return MappingProxyType(dict(self.earlier_marks))

    @cached_property
    def issued_cables_of(self) -> Mapping[str, tuple[tuple[str, int], ...]]:
        """By mark the issued cables at the opening, by number."""
        found = grouped((mark, (serves, number)) for mark, serves, number in self.issued_cables)
        return MappingProxyType({mark: tuple(sorted(rows, key=lambda row: row[1])) for mark, rows in found.items()})

    @cached_property
    def opening(self) -> Mapping[str, Opening]:
        """Openings by mark."""
        return MappingProxyType({x.mark: x for x in self.openings})
