"""The site: everything that the user states, and nothing that follows from it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, Self, cast

from pydantic import Field, model_validator
from pydantic.json_schema import SkipJsonSchema

from riserkit.model.as_built import AsBuilt
from riserkit.model.base import Celsius, FieldError, Gauge, Hours, Id, Length, Record, Seconds, Text
from riserkit.model.cabling import CableType, PathwaySegment, Reel, Run
from riserkit.model.confirmations import Condition, Confirmation
from riserkit.model.opening import Opening
from riserkit.model.paper import set_sheet_name, sheet_name
from riserkit.model.parts import Part
from riserkit.model.place import Building, Closet, Level, PathwayNode, Room, Wall
from riserkit.model.power import Supply, Switch, Ups
from riserkit.model.records import Acceptance, Date, IssuedLabel, Revision
from riserkit.quantities.grouping import grouped


class SiteInfo(Record):
    """Facts about the whole site and the paper.

    Args of note:
        ambient_c: around devices at the door; coldest_c the coldest that any conductor gets.
        pathway_c: where cable runs, above ceilings; the hot side of every calculation.
        cords_total_m, cord_gauge, cord_stranding: patch and equipment cords of a channel, both ends together.
        closet_slack_m, door_slack_m: spare cable left at the ends; service_loop_m more at the closet.
        horizontal_cable to fire_cable: cable types used where an opening or a run names no other.
        relay to door_supply_24: parts that an arrangement adds where the opening names none.
        standby_hours: how long every battery has to hold its doors, where a supply or UPS states none of its own.
        openings_per_hour, opening_s: how often a door is released while the mains are off, and for how long.
        true_north_deg: from up the plan (+y) to true north, clockwise, as 12 where true north points 12 degrees to the right.
        sheet_size: one size for every sheet of the set, as `A3` or `ARCH C`; what one sheet cannot hold goes on to more.
        riser_sheet, detail_sheet: where `sheet_size` is blank, the size of all sheets but details, and the least size of
            details, which may be larger.
        issue_date: the date on the drawings; the same site always yields the same bytes, so it is never today's.
    """

    name: Text = "Unnamed site"
    project_number: Text = ""
    address: Text = ""
    owner: Text = ""
    designer: Text = ""
    drawn_by: Text = ""
    checked_by: Text = ""
    approved_by: Text = ""
    issue_date: Date = datetime.date(2000, 1, 1)
    status: Literal["for approval", "for construction", "as built"] = "for approval"
    unit_system: Literal["metric", "imperial"] = "metric"
    building_code: Text = ""
    electrical_code: Text = ""
    fire_code: Text = ""
    ambient_c: Celsius = 20.0
    coldest_c: Celsius = 10.0
    pathway_c: Celsius = 40.0
    cords_total_m: Length = 10.0
    cord_gauge: Gauge = "24 AWG"
    cord_stranding: Literal["solid", "stranded"] = "stranded"
    closet_slack_m: Length = 3.0
    door_slack_m: Length = 1.0
    service_loop_m: Length = 0.0
    horizontal_cable: Id = "cat6"
    backbone_cable: Id = "om4-12"
    lock_cable: Id = "18-2"
    contact_cable: Id = "22-2"
    rex_cable: Id = "22-4"
    relay_cable: Id = "22-4"
    reader_cable: Id = "22-4"
    release_cable: Id = "18-4"
    fire_cable: Id = "18-2"
    relay: Id = "relay-auth"
    voltage_relay: Id = "relay-volt"
    splitter: Id = "splitter-12"
    release: Id = "release-30"
    diode: Id = "diode-1a"
    suppressor: Id = "varistor-47"
    door_supply_12: Id = "supply-12-3"
    door_supply_24: Id = "supply-24-4"
    sheet_series: Literal["ISO", "ANSI", "ARCH"] = "ISO"
    sheet_size: Text = ""
    riser_sheet: Text = ""
    detail_sheet: Text = ""
    standby_hours: Hours | None = None
    openings_per_hour: Annotated[float, Field(ge=0, le=3600)] | None = None
    opening_s: Seconds | None = None
    plan_scale: Annotated[int, Field(ge=1, le=5000)] | None = None
    true_north_deg: Annotated[float, Field(ge=-360, le=360)] | None = None

    @property
    def project(self) -> str:
        """Its number and its name."""
        return " ".join(filter(None, (self.project_number, self.name)))

    @model_validator(mode="after")
    def _temperatures(self) -> Self:
        for column in ("ambient_c", "pathway_c"):
            if getattr(self, column) < self.coldest_c:
                raise FieldError(
                    column, f"expected at least coldest_c, {self.coldest_c:g} °C: nothing is colder than the coldest"
                )
        return self

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        for column in ("riser_sheet", "detail_sheet"):
            if self.sheet_size and getattr(self, column):
                raise FieldError(column, f"expected none beside sheet_size, {self.sheet_size}, which is every sheet's")
        return self

    @model_validator(mode="after")
    def _sheets(self) -> Self:
        for column in ("sheet_size", "riser_sheet", "detail_sheet"):
            asked = getattr(self, column)
            named = sheet_name if column == "detail_sheet" else set_sheet_name
            try:
                _ = named(asked, self.sheet_series) if asked else ""
            except ValueError as error:
                raise FieldError(column, str(error)) from None
        return self


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
