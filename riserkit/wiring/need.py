"""What an opening asks of its wiring: its parts looked up, its cables with lengths, and nothing decided yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from riserkit.model.cabling import CableType
from riserkit.model.opening import EgressRole, Opening
from riserkit.model.parts import (
    Contact,
    Controller,
    DcSupply,
    FireRelay,
    Lock,
    PartBase,
    Reader,
    Relay,
    ReleaseButton,
    RexSensor,
    Splitter,
    Suppressor,
)
from riserkit.wiring.devices import lock_range_v
from riserkit.wiring.places import lock_in_leaf, strike_in_leaf

DATA: Final = "data"
"""Of `DoorNeed.cables` the PoE cable."""
NOT_KNOWN: Final = "unknown"
"""Basis of a length that nobody can know: no way leads between the cable's ends."""


@dataclass(frozen=True, slots=True)
class DeviceCable:
    """A cable at the door: its type, one-way length, and how the length is known.

    `pulled`: it was measured in the wall, so that its type is a fact and no thicker one can be offered in its place.
    """

    cable_type: CableType
    length_m: float
    basis: str
    pulled: bool = False

    def unless_pulled(self, cable_type: CableType) -> DeviceCable:
        """The same run with a cable of this type, where none is in the wall yet."""
        return self if self.pulled else replace(self, cable_type=cable_type)


@dataclass(frozen=True, slots=True)
class SupplyOffer:
    """A place that lock power may come from.

    `closet` is the id of the one it stands in, empty at the door, `opening MARK` at another opening; `cable` is what brings
    it to the relay at the door.
    """

    supply_id: str
    part: DcSupply
    closet: str
    cable: DeviceCable
    on_battery: bool | None


@dataclass(frozen=True, slots=True)
class DoorNeed:
    """One opening with everything that its wiring depends on.

    `missing` names the data without which no arrangement can be judged. `cables` are by device, `lock2` only where the
    second leaf's cable has a run of its own. `lock_cables` are the types to be tried for the lock, the one asked for
    first; one alone when it is pulled already. `relay` and `voltage_relay` are the module of each kind that may be used
    (None: the opening names the other kind). `issued_cables`: what each cable at the door that was issued serves, and its
    number; see `wiring/issued.py`.
    """

    opening: Opening
    controller: Controller | None
    lock: Lock | None
    contact: Contact | None
    rex: RexSensor | None
    release: ReleaseButton | None
    relay: Relay | None
    voltage_relay: Relay | None
    splitter: Splitter | None
    suppressor: Suppressor | None
    reader_in: Reader | None
    reader_out: Reader | None
    fire_relay: FireRelay | None
    supplies: tuple[SupplyOffer, ...]
    cables: Mapping[str, DeviceCable]
    lock_cables: tuple[CableType, ...]
    data_label: str
    closet: str
    on_ups: bool | None
    missing: tuple[str, ...] = ()
    issued_cables: tuple[tuple[str, int], ...] = ()

    @property
    def fail_safe(self) -> bool:
        """Unpowered means released: as asked for, else as the lock is."""
        asked = self.opening.fail_mode or (self.lock.action if self.lock else "")
        return asked == "fail-safe"

    @property
    def sensor_breaks(self) -> bool:
        """A second pole of the REX sensor is in the lock's feed, as a sensor-released door wants it.

        Through an input alone the lock would stay powered when the sensor's wire breaks or the controller dies (IBC 2021
        1010.2.12 item 2, verified: loss of the sensor's power or signal unlocks).
        """
        rex, opening = self.rex, self.opening
        wanted = opening.egress is EgressRole.SENSOR_RELEASE and self.fail_safe and opening.rex_aux_input == "rex"
        return wanted and rex is not None and rex.breaks_on_loss

    @property
    def external_relay(self) -> Relay | None:
        """The module for an outside supply."""
        return self.relay or self.voltage_relay

    @property
    def lands_lock_contact(self) -> bool:
        """The lock's own contact is on the door input, in series with the door contacts where there are any.

        Only one that is closed while the lock holds can stand so: a broken wire then reads as an open door. To a lock in the
        leaf the hinge transfer brings power alone.
        """
        lock = self.lock
        closed = lock is not None and bool(lock.own_contact) and lock.contact_when_secured == "closed"
        return closed and not self.lock_in_leaf

    @property
    def lock_in_leaf(self) -> bool:
        """Its lock stands in a leaf, as a latch does, and a strike in the inactive leaf of a pair; power comes over the hinges."""
        return lock_in_leaf(self.opening, self.lock)

    def leaf_of_lock(self, number: int) -> int:
        """Leaf 1 or 2 that lock 1 or 2 belongs to: a strike in the inactive leaf holds the other one."""
        return 2 if strike_in_leaf(self.opening, self.lock) else number

    def sensor_takes(self, source_v: float | None) -> bool:
        """Whether the REX sensor in the lock's feed may be fed from what feeds the lock."""
        rex = self.rex
        if rex is None or rex.rated_v is None or source_v is None or not self.sensor_breaks:
            return False
        if rex.tolerance_low is None or rex.tolerance_high is None:
            return rex.rated_v == source_v
        return rex.rated_v * (1 - rex.tolerance_low) <= source_v <= rex.rated_v * (1 + rex.tolerance_high)

    @property
    def lock_least_v(self) -> float | None:
        """Least voltage at which the lock works; None when its data do not say."""
        return lock_range_v(self.lock)[0] if self.lock else None

    @property
    def parts(self) -> Mapping[str, PartBase]:
        """The parts that may stand at the opening, by id, those of the supplies on offer among them."""
        return {part.id: part for part in (*self._own, *(offer.part for offer in self.supplies)) if part is not None}

    @property
    def _own(self) -> tuple[PartBase | None, ...]:
        return (
            self.controller, self.lock, self.contact, self.rex, self.release, self.relay, self.voltage_relay,
            self.splitter, self.suppressor, self.reader_in, self.reader_out, self.fire_relay,
        )  # fmt: skip

    @property
    def spec(self) -> tuple[object, ...]:
        """Equal for openings whose circuits differ by lengths only: they are judged side by side."""
        o = self.opening
        return (
            tuple(part.id if part else "" for part in self._own),
            tuple(
                (s.part.id, s.closet == "", s.supply_id == "", s.on_battery, s.cable.cable_type.id, s.cable.pulled)
                for s in self.supplies
            ),
            tuple((name, cable.cable_type.id, cable.pulled) for name, cable in sorted(self.cables.items())),
            (
                o.lock_count,
                o.leaves,
                o.mullion,
                o.bars,
                bool(o.lock_accessible),
                o.controller_at,
                o.rex_aux_input,
                o.fire_alarm_release,
                o.lock_wiring_secured,
            ),
            (o.arrangement, o.fail_mode, o.egress, self.on_ups, self.missing),
            self.issued_cables,
        )
