"""Facts about the whole site and its paper."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from riserkit.model.base import Celsius, FieldError, Gauge, Hours, Id, Length, Record, Seconds, Text
from riserkit.model.paper import set_sheet_name, sheet_name
from riserkit.model.records import Date


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
