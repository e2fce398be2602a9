"""What was built, as far as it has come back: facts beside the design, which none of them overwrites."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Literal

from riserkit.model.base import CableLength, Id, Mark, Record, Text
from riserkit.model.returned import (
    CableTest,
    ReturnedDevice,
    ReturnedDoor,
    ReturnedEquipment,
    ReturnedLanding,
    ReturnedLength,
    ReturnedPhoto,
    ReturnedPort,
    ReturnedReading,
)


class KeptWiring(Record):
    """The wiring that the design has chosen for an opening. It is in the wall: what is measured afterwards chooses no other.

    `chosen` are the columns that nobody had stated and that stand here as the design has them: no change of the opening.
    """

    opening: Mark
    arrangement: Text
    lock_cable: Id
    supply_at: Text = ""
    supply_id: Text = ""
    chosen: tuple[Text, ...] = ()


class MeasuredCable(Record):
    """A cable at an opening as it was measured. `key` says which, as `DoorNeed.cables` has it, or `feed` for lock power."""

    opening: Mark
    key: Text
    length_m: CableLength | None = None
    cable_type: Id = ""


class BuiltDifference(Record):
    """One thing that was built otherwise than designed: a row of the register of differences.

    Args of note:
        opening: empty for what is at no opening.
        kind: `landing`, `device`, `part`, `port`, `cable` or `length`.
        subject: what it is about, such as `conductor 12, 2-W6 RD`.
        was: as designed.
        is_now: as built.
        by, date: who says so, and when.
        file: that it came back in.
    """

    opening: Text
    kind: Literal["landing", "device", "part", "port", "cable", "length"]
    subject: Text
    was: Text
    is_now: Text
    by: Text
    date: datetime.date
    file: Text = ""


class KeptPhoto(Record):
    """A photograph that is kept with the site: its name, its size in bytes and in pixels (0 where it cannot be shown), its digest."""

    name: Text
    size_bytes: int
    width_px: int = 0
    height_px: int = 0
    digest: Text


class AsBuilt(Record):
    """Everything that has come back, the last said of each thing.

    Args of note:
        last_date: of the last row; None where nothing has come back.
        unmatched: rows that the design of now has no place for, in words, by opening.
        kept: wiring as designed.
        measured: cables at openings.
        kept_photos: photographs that are there, of those that `photos` names.
        differences: from the design.
        history: every row that ever came back: return, table, what it is about, what it said, who, when, with what, in which
            file, and whether a later one took its place.
    """

    doors: tuple[ReturnedDoor, ...] = ()
    landings: tuple[ReturnedLanding, ...] = ()
    readings: tuple[ReturnedReading, ...] = ()
    lengths: tuple[ReturnedLength, ...] = ()
    cable_tests: tuple[CableTest, ...] = ()
    devices: tuple[ReturnedDevice, ...] = ()
    equipment: tuple[ReturnedEquipment, ...] = ()
    ports: tuple[ReturnedPort, ...] = ()
    photos: tuple[ReturnedPhoto, ...] = ()
    kept_photos: tuple[KeptPhoto, ...] = ()
    last_date: datetime.date | None = None
    unmatched: tuple[tuple[str, str], ...] = ()
    kept: tuple[KeptWiring, ...] = ()
    measured: tuple[MeasuredCable, ...] = ()
    differences: tuple[BuiltDifference, ...] = ()
    history: tuple[tuple[str, ...], ...] = ()

    @cached_property
    def kept_of(self) -> Mapping[str, KeptWiring]:
        """Wiring as designed, by mark."""
        return MappingProxyType({kept.opening: kept for kept in self.kept})

    @cached_property
    def measured_of(self) -> Mapping[str, tuple[MeasuredCable, ...]]:
        """Cables measured, by mark."""
        found: dict[str, tuple[MeasuredCable, ...]] = {}
        for cable in self.measured:
            found[cable.opening] = (*found.get(cable.opening, ()), cable)
        return MappingProxyType(found)

    @cached_property
    def landings_of(self) -> Mapping[str, tuple[ReturnedLanding, ...]]:
        """Landings returned, by mark."""
        found: dict[str, tuple[ReturnedLanding, ...]] = {}
        for landing in self.landings:
            found[landing.opening] = (*found.get(landing.opening, ()), landing)
        return MappingProxyType(found)

    @cached_property
    def devices_of(self) -> Mapping[str, Mapping[str, ReturnedDevice]]:
        """Devices returned, by mark and designation."""
        found: dict[str, dict[str, ReturnedDevice]] = {}
        for device in self.devices:
            found.setdefault(device.opening, {})[device.device] = device
        return MappingProxyType(found)

    @cached_property
    def readings_of(self) -> Mapping[str, tuple[ReturnedReading, ...]]:
        """Readings returned, by mark."""
        found: dict[str, tuple[ReturnedReading, ...]] = {}
        for reading in self.readings:
            found[reading.opening] = (*found.get(reading.opening, ()), reading)
        return MappingProxyType(found)

    @cached_property
    def door(self) -> Mapping[str, ReturnedDoor]:
        """Doors returned, by mark."""
        return MappingProxyType({door.opening: door for door in self.doors})

    @cached_property
    def test_of(self) -> Mapping[str, CableTest]:
        """Cable tests by the cable's label."""
        return MappingProxyType({test.cable: test for test in self.cable_tests})
