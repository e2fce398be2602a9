"""Where power comes from: network switches and DC supplies that stand somewhere on the site."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Annotated, Self

from pydantic import Field, model_validator

from riserkit.model.base import (
    AmpHours,
    Celsius,
    FieldError,
    Fraction,
    Hours,
    Id,
    Record,
    Text,
    Volts,
    WattHours,
    Watts,
)
from riserkit.model.records import MarkList, expect_others, others_named

_SPAN = re.compile(r"^(\d+)(?:-(\d+))?:(\d)$")


class Switch(Record):
    """A network switch that feeds controllers.

    Args of note: `poe_class` is the class of each port unless `port_classes` says otherwise, as `1-8:6 9-24:4`;
    `poe_budget_w` is what all ports share; `uplink_ports` are not for doors, counted from the highest number downward.
    `ups` is the UPS that feeds it, `own_w` what it draws there besides what its ports give; `other_w` is what its ports give
    to anything but doors, such as cameras: of a switch for doors alone nothing. `formerly`: its id at
    an earlier issue, where it has been renamed since; the labels of its ports stay.
    """

    id: Id
    closet: Id
    name: Text = ""
    ports: Annotated[int, Field(ge=1, le=1024)]
    uplink_ports: Annotated[int, Field(ge=0, le=64)] = 0
    poe_class: Annotated[int, Field(ge=0, le=8)] = 4
    port_classes: Text = ""
    poe_budget_w: Watts | None = None
    on_ups: bool | None = None
    ups: Id = ""
    own_w: Watts | None = None
    other_w: Watts | None = None
    panel: Annotated[str, Field(pattern=r"^[A-Z]?$")] = ""
    formerly: Id = ""

    @model_validator(mode="after")
    def _spans(self) -> Self:
        if self.ups and self.on_ups is False:
            raise FieldError("on_ups", "expected on_ups yes or empty where ups names one")
        if self.uplink_ports >= self.ports:
            raise FieldError("uplink_ports", f"expected fewer uplink_ports than ports ({self.ports})")
        last = 0
        for low, high, poe_class in sorted(self._read_spans()):
            if not (1 <= low <= high <= self.ports and poe_class <= 8):
                raise FieldError("port_classes", f"expected port_classes within 1 to {self.ports} and classes 0 to 8")
            if low <= last:
                raise FieldError("port_classes", f"expected one class for port {low}")
            last = high
        return self

    def _read_spans(self) -> list[tuple[int, int, int]]:
        spans = []
        for word in self.port_classes.replace(",", " ").split():
            match = _SPAN.match(word)
            if match is None:
                raise FieldError("port_classes", "expected port_classes such as 1-8:6 9-24:4 (ports:class)")
            spans.append((int(match[1]), int(match[2] or match[1]), int(match[3])))
        return spans

    @cached_property
    def classes(self) -> tuple[int, ...]:
        """The class of each port, shape (ports,), port 1 first."""
        classes = [self.poe_class] * self.ports
        for low, high, poe_class in self._read_spans():
            classes[low - 1 : high] = [poe_class] * (high - low + 1)
        return tuple(classes)

    @property
    def is_on_ups(self) -> bool | None:
        """As stated; yes where a UPS is named. None where nothing says so."""
        return True if self.ups else self.on_ups

    @property
    def door_ports(self) -> int:
        """Ports that may feed doors."""
        return self.ports - self.uplink_ports


class Supply(Record):
    """A DC supply standing at a closet or at an opening, of a `part` of kind `dc-supply` in the catalogue.

    `standby_hours`: how long its battery has to hold its doors, where it is not the site's; `battery_c`: of its battery,
    where that is not as cold as the site's coldest. `minus_joined`: the supplies whose minus its own is joined to, as by a
    common bar, `PS-2, PS-3`; `none` where it is joined to no other.
    """

    id: Id
    part: Id
    closet: Id = ""
    opening: str = ""
    name: Text = ""
    on_battery: bool | None = None
    standby_hours: Hours | None = None
    battery_c: Celsius | None = None
    minus_joined: MarkList = ""

    @model_validator(mode="after")
    def _others(self) -> Self:
        expect_others("minus_joined", self.minus_joined, self.id, "the ids of other supplies", "ids of supplies")
        return self

    @property
    def joined(self) -> tuple[str, ...]:
        """Ids of the supplies that its minus is joined to; none where it is not, or nobody says so."""
        return others_named(self.minus_joined)

    def is_joined_to(self, other: Supply) -> bool:
        """Whether either says that their minus terminals are joined."""
        return other.id in self.joined or self.id in other.joined

    @model_validator(mode="after")
    def _somewhere(self) -> Self:
        if bool(self.closet) == bool(self.opening):
            raise FieldError("closet", "expected either a closet or an opening where the supply is")
        return self


class Ups(Record):
    """An uninterruptible supply in a closet; the switches that stand on it name it.

    Args of note:
        battery_ah, end_v: ampere-hours and voltage of the whole battery, spent: its load draws most there.
        battery_wh: its watt-hours, in place of both.
        efficiency: battery to output.
        output_w: watts that it gives at most; where its data sheet has volt-amperes and watts, the watts.
        other_w: watts of all else that stands on it, such as routers and servers: of one for these switches alone nothing.
        standby_hours, battery_c: as for a DC supply.
    """

    id: Id
    closet: Id
    name: Text = ""
    battery_ah: AmpHours | None = None
    battery_wh: WattHours | None = None
    end_v: Volts | None = None
    efficiency: Fraction | None = None
    output_w: Watts | None = None
    other_w: Watts | None = None
    standby_hours: Hours | None = None
    battery_c: Celsius | None = None

    @model_validator(mode="after")
    def _one_capacity(self) -> Self:
        if self.battery_wh is not None and self.battery_ah is not None:
            raise FieldError("battery_wh", "expected either battery_wh, or battery_ah with end_v")
        return self
