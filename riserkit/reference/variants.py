"""What is asked of a reference door: the lock, and what stands beside it. One door for each pair is tried with each arrangement."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

Fields = Mapping[str, str]

_CONTACT: Final = {"contact": "contact-reed"}
_REX: Final = {**_CONTACT, "rex": "rex-motion"}
_MECHANICAL: Final = {"egress": "mechanical", "free_egress_hardware": "yes"}
_PLACED: Final = {"release_height_m": "1.1 m", "release_distance_m": "0.5 m", "release_sign": "yes"}
_NOT_ON_THE_WALL: Final = dict.fromkeys((*_PLACED, "rex"), "")
_IN_THE_BAR: Final = {"egress": "hardware-release", "release": "release-bar"}
_RELEASED: Final = {"egress": "sensor-release", "release": "release-30", **_PLACED}


@dataclass(frozen=True, slots=True)
class LockVariant:
    """A lock of the shipped parts as it usually stands.

    Args:
        name: in words.
        fields: of the opening.
        usual: what stands beside it unless a variant says otherwise.
        is_magnet: it holds by power alone.
        only_usual: tried as it usually stands and alone; more would tell no more than at the lock of the other voltage.
    """

    name: str
    fields: Fields
    usual: Fields
    is_magnet: bool = False
    only_usual: bool = False


@dataclass(frozen=True, slots=True)
class BesideVariant:
    """What stands beside the lock.

    Args:
        name: in words; empty for the usual door of the lock.
        fields: of the opening, over the usual ones.
        bare: the usual ones do not count.
        for_magnets: it differs from the usual door of a magnet, and makes sense there.
        for_strikes: it makes sense at a lock that a handle or bar opens by hand.
    """

    name: str
    fields: Fields
    bare: bool = False
    for_magnets: bool = True
    for_strikes: bool = True


def _strike(name: str, part: str, mode: str, *, only_usual: bool = False) -> LockVariant:
    return LockVariant(name, {"lock": part, "fail_mode": mode, **_MECHANICAL}, _REX, only_usual=only_usual)


def _magnet(name: str, part: str) -> LockVariant:
    return LockVariant(name, {"lock": part, "fail_mode": "fail-safe", **_RELEASED}, _REX, is_magnet=True)


LOCKS: Final = (
    _strike("12 V strike, fail-secure", "strike-12-secure", "fail-secure"),
    _strike("12 V strike, fail-safe", "strike-12-safe", "fail-safe"),
    _strike("24 V strike, fail-secure", "strike-24-secure", "fail-secure", only_usual=True),
    _strike("24 V strike, fail-safe", "strike-24-safe", "fail-safe", only_usual=True),
    _magnet("12 V magnet", "magnet-12-600"),
    _magnet("24 V magnet", "magnet-24-600"),
    _strike("exit device with its own supply", "exit-device-motor", "fail-secure"),
)
"""Those that the trade usually hangs on such a door: strike or magnet, 12 or 24 V, and one with a supply of its own."""

BESIDE: Final = (
    BesideVariant("", {}),
    BesideVariant("no peripherals", {}, bare=True, for_magnets=False),
    BesideVariant("auxiliary input in place of REX", {"rex": "", "rex_aux_input": "auxiliary"}, for_magnets=False),
    BesideVariant("manual release", {"release": "release-30", **_PLACED}, for_magnets=False),
    BesideVariant("fire alarm release", {"fire_alarm_release": "yes", "fire_relay": "fire-relay"}),
    BesideVariant("two leaves", {"type": "double", "mullion": "yes", "lock_count": "2", "width_m": "1.83 m"}),
    BesideVariant("entry and exit readers", {"reader_in": "reader-out", "reader_out": "reader-out", "controller_at": "secured"}),
    BesideVariant("lock wiring secured", {"lock_wiring_secured": "yes"}),
    BesideVariant("REX switch in the bar", {"rex": "rex-bar"}, for_magnets=False),
    BesideVariant("release switch in the bar", {**_NOT_ON_THE_WALL, **_IN_THE_BAR}, for_strikes=False),
)  # fmt: skip
"""The usual door first, then one thing changed."""


@dataclass(frozen=True, slots=True)
class DoorVariant:
    """A lock with what stands beside it."""

    lock: LockVariant
    beside: BesideVariant

    @property
    def name(self) -> str:
        """Both in words: `12 V magnet, two leaves`."""
        return ", ".join(filter(None, (self.lock.name, self.beside.name)))

    @property
    def fields(self) -> Fields:
        """Of the opening, without controller and arrangement; what is blank beside the lock is left out."""
        usual = {} if self.beside.bare else self.lock.usual
        stated = {**self.lock.fields, **usual, **self.beside.fields}
        return {name: value for name, value in stated.items() if value}


def variants() -> Iterator[DoorVariant]:
    """Every lock with everything that may stand beside it."""
    for lock in LOCKS:
        for beside in BESIDE:
            serves = beside.for_magnets if lock.is_magnet else beside.for_strikes
            if not beside.name or ((not lock.only_usual or beside.bare) and serves):
                yield DoorVariant(lock, beside)
