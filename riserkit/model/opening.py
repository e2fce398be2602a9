"""An opening: a door or gate with its frame, its hardware, and what is asked of it."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from riserkit.model.base import Celsius, Coordinate, FieldError, Id, Mark, Record, Remarks, Seconds, SmallLength, Text
from riserkit.model.fire_rating import FireRating
from riserkit.model.records import Date, MarkList, expect_others, others_named

USUAL_LEAF_M: Final = 0.915
"""Width of a leaf that nobody states: 3 ft, common practice, no source."""

_ACROSS_DEG: Final = 60.0
"""How far a direction may stand off the square across the wall and still name one of its sides."""


class EgressRole(StrEnum):
    """How people get out through it, in the published code's terms."""

    NONE = "none"
    MECHANICAL = "mechanical"
    SENSOR_RELEASE = "sensor-release"
    HARDWARE_RELEASE = "hardware-release"
    DELAYED = "delayed"
    CONTROLLED = "controlled"
    STAIR = "stair"


class Opening(Record):
    """A controlled opening.

    Args of note:
        width_m: of the whole opening, of a double one both leaves together.
        leaf_width_m: of one leaf, stated in place of `width_m`; leaves are of one width.
        clear_width_m: clear between stop and face of the leaf, or of one leaf of a pair, open at 90 degrees.
        angle_deg: direction of the leaf's plane in plan, degrees from +x.
        hinges: of a single leaf or a gate, seen from the unsecured side; not stated, elevations show them on the left, and
            plans no swing.
        secured_side_deg: where the secured side lies in plan, degrees counter-clockwise from +x, as 90 for up the sheet.
        swings_to: the side that the leaves swing to.
        outdoor: the unsecured side, with the reader or controller there, is exposed to weather; of a gate both sides.
        coldest_c, hottest_c: of the air at the opening, outdoors or in a space that is neither heated nor cooled.
        interlocked_with: the other openings of an interlock, of which one at a time may be open, as `102, 103`; `none` for
            an opening that is not interlocked though its rooms or remarks sound like it.
        ceiling_space: the space above the ceiling at the door, where it differs from its level's; none where there is no
            ceiling, as under a vault: its boxes are put beside it.
        secured_side, unsecured_side: names of the rooms or areas on its two sides.
        fire_rating_min: of the door assembly, in minutes, as 90, `90 min` or `1-1/2 h`; 0 for one that is not fire-rated.
        latching_hardware: a latch that engages by itself whenever the door closes, apart from an electromagnetic lock.
        inactive_leaf: how the second leaf of a pair is secured where it has no lock of its own.
        mullion: whether a post stands between the leaves of a pair, for their strikes; without one a strike stands in the
            inactive leaf, and its wires go over that leaf's hinges.
        entry: how people get in: a reader at the door, a command from elsewhere (intercom, schedule), or a key.
        fail_mode: what is wanted of the lock without power.
        delay_s: of delayed egress, from the start of the delay to the release.
        lock_count: 2 for two leaves each with a lock.
        controller_at: side that the controller is on. On the unsecured side its terminals are accessible.
        lock_accessible: the lock or its wires can be touched from the unsecured side, as through a gate.
        rex_accessible: its REX device, manual release or inside handle can be worked from the unsecured side, as by an arm
            through a gate.
        lock_wiring_secured: yes, when no wire that releases the lock may be accessible from the unsecured side.
        reader_in, reader_out: readers on the controller's bus; a controller with its own reader needs no reader_in.
        rex_aux_input: what the controller's REX/AUX input is used for.
        rex: REX sensor part; whether it needs power follows from the part's draw.
        arrangement: wiring arrangement forced by the user; empty lets riserkit choose.
        closet, switch, port: where its cable goes, when the user says so.
        supply: a supply of the site that feeds its lock.
        lock_cable, contact_cable, rex_cable: cable types that override the site's.
        formerly: its mark at an earlier issue, where it has another number since; its PoE cable and its port keep their labels.
        crew, work_date: who builds it and on which day, for the pick list; no part of the design.
        remarks: whatever else is to be known of it, such as what a document says that no other column takes; a list parted
            by semicolons.
    """

    mark: Mark
    level: Id
    x_m: Coordinate
    y_m: Coordinate
    name: Text = ""
    type: Literal["single", "double", "gate"] = "single"
    width_m: SmallLength | None = None
    leaf_width_m: SmallLength | None = None
    clear_width_m: SmallLength | None = None
    height_m: SmallLength = 2.134
    angle_deg: Annotated[float, Field(ge=-360, le=360)] = 0.0
    hinges: Literal["left", "right"] | None = None
    secured_side_deg: Annotated[float, Field(ge=-360, le=360)] | None = None
    swings_to: Literal["secured", "unsecured"] | None = None
    outdoor: bool = False
    coldest_c: Celsius | None = None
    hottest_c: Celsius | None = None
    ceiling_space: Literal["general", "plenum", "none"] | None = None
    secured_side: Text = ""
    unsecured_side: Text = ""
    fail_mode: Literal["fail-safe", "fail-secure"] | None = None
    egress: EgressRole | None = None
    delay_s: Seconds | None = None
    fire_rating_min: FireRating | None = None
    latching_hardware: bool | None = None
    entry: Literal["reader", "remote", "key"] = "reader"
    interlocked_with: MarkList = ""
    inactive_leaf: Literal["", "automatic-bolts", "manual-bolts", "exit-device"] = ""
    mullion: bool | None = None
    lock: Id = ""
    lock_count: Annotated[int, Field(ge=1, le=2)] = 1
    controller: Id = ""
    lock_accessible: bool | None = None
    rex_accessible: bool | None = None
    lock_wiring_secured: bool = False
    controller_at: Literal["unsecured", "secured"] = "unsecured"
    back_box: bool = True
    contact: Id = ""
    rex: Id = ""
    rex_aux_input: Literal["rex", "auxiliary"] = "rex"
    release: Id = ""
    relay: Id = ""
    splitter: Id = ""
    suppressor: Id = ""
    reader_in: Id = ""
    reader_out: Id = ""
    fire_relay: Id = ""
    fire_alarm_release: bool = False
    supply: Id = ""
    arrangement: Text = ""
    closet: Id = ""
    switch: Id = ""
    port: Annotated[int, Field(ge=1, le=1024)] | None = None
    horizontal_cable: Id = ""
    lock_cable: Id = ""
    contact_cable: Id = ""
    rex_cable: Id = ""
    free_egress_hardware: bool | None = None
    reader_height_m: SmallLength | None = None
    rex_height_m: SmallLength | None = None
    release_height_m: SmallLength | None = None
    release_distance_m: SmallLength | None = None
    release_sign: bool | None = None
    formerly: Text = ""
    crew: Text = ""
    work_date: Date | None = None
    remarks: Remarks = ""

    @model_validator(mode="after")
    def _sides(self) -> Self:
        if self.secured_side_deg is not None:
            off_deg = abs((self.secured_side_deg - self.angle_deg) % 180 - 90)
            if off_deg > _ACROSS_DEG:
                raise FieldError(
                    "secured_side_deg",
                    f"expected a direction across the wall, such as {(self.angle_deg + 90) % 360:g} or "
                    f"{(self.angle_deg - 90) % 360:g} where angle_deg is {self.angle_deg:g}; "
                    f"{self.secured_side_deg:g} runs along it",
                )
        return self

    @model_validator(mode="after")
    def _stated_of_others(self) -> Self:
        expect_others("interlocked_with", self.interlocked_with, self.mark, "the marks of the other openings", "marks")
        if self.coldest_c is not None and self.hottest_c is not None and self.hottest_c < self.coldest_c:
            raise FieldError("hottest_c", f"expected at least coldest_c, {self.coldest_c:g} °C")
        return self

    @property
    def interlocks(self) -> tuple[str, ...]:
        """Marks of the openings that it is interlocked with; none where it is not, or nobody says so."""
        return others_named(self.interlocked_with)

    @property
    def secured_normal_deg(self) -> float | None:
        """Square across the wall towards the secured side, degrees from +x; None where the side is not stated."""
        if self.secured_side_deg is None:
            return None
        left = (self.secured_side_deg - self.angle_deg) % 360 < 180
        return (self.angle_deg + (90 if left else -90)) % 360

    @property
    def leaves(self) -> int:
        """How many leaves it has; a gate has one."""
        return 2 if self.type == "double" else 1

    @property
    def contacts(self) -> int:
        """Door contacts, where it has one: a leaf with a lock of its own, or beside another, has its own."""
        return 2 if self.lock_count > 1 or self.leaves > 1 else 1

    @property
    def bars(self) -> int:
        """Leaves with a bar or handle of their own to leave by."""
        return 2 if self.leaves > 1 and (self.lock_count > 1 or self.inactive_leaf == "exit-device") else 1

    @property
    def has_ceiling(self) -> bool:
        """There is a ceiling that boxes can stand above; a gate has none."""
        return self.type != "gate" and self.ceiling_space != "none"

    @property
    def strike_in_leaf(self) -> bool:
        """A strike stands in the inactive leaf: of a pair without a mullion, where one lock holds both leaves."""
        return self.leaves > 1 and self.mullion is False and self.lock_count == 1

    @property
    def whole_width_m(self) -> float:
        """Width of the opening, all leaves together: as stated, else of leaves of the usual width."""
        return (self.leaf_width_m or USUAL_LEAF_M) * self.leaves if self.width_m is None else self.width_m

    @property
    def one_leaf_m(self) -> float:
        """Width of one leaf."""
        return self.whole_width_m / self.leaves
