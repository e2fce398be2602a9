"""Content of a riser diagram, as plain values: read off a design once, then placed and drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Final

from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM
from riserkit.drawings.setting.table import Table
from riserkit.holds import HOLD

UNKNOWN: Final = "?"
SUPPLY: Final = "PS"


@dataclass(frozen=True, slots=True)
class Flag:
    """A marker for findings: `E` and `W` for open errors and warnings, `A1`, `A2` ... for accepted ones.

    `accepted`: it points to a line of the list of accepted findings.
    """

    text: str
    accepted: bool = False


@dataclass(frozen=True, slots=True)
class DeviceCodes:
    """Devices of an opening in a few letters, such as `C4 2xES secure PS`.

    Args:
        poe_class: of its powered device; None where that is not stated.
        lock: letters of its kind.
        locks: how many.
        action: what it does without power.
        supply: a direct current supply is at the opening.
    """

    poe_class: int | None
    lock: str
    locks: int
    action: str
    supply: bool

    def __str__(self) -> str:
        """As it is printed."""
        count = f"{self.locks}x" if self.locks > 1 else ""
        power = UNKNOWN if self.poe_class is None else self.poe_class
        return " ".join((f"C{power}", f"{count}{self.lock}", self.action, *((SUPPLY,) if self.supply else ())))


@dataclass(frozen=True)
class Drop:
    """One opening at the end of its cable.

    Args:
        mark: the opening's mark, its identity.
        name: what is printed for it, its label.
        symbol: block.
        cable_subject: identity of its cable; empty without one.
        cable: label of the cable.
        length: with how it is known.
        codes: of its devices.
        basis: letter of how the length is known; empty without one.
        flags: of the opening and of its cable.
        port: label of the port.
        pathway: id of the last segment its cable runs in; empty when none is known.
        panel: label of the switch it lands on; empty without a port.
        held: it is on HOLD: not to be built.
        way: the type of its cable, and the conduits that it goes through; empty without a cable.
        power: its lock power from a supply elsewhere: cable, supply, length; empty without.
    """

    mark: str
    name: str
    symbol: str
    cable_subject: str
    cable: str
    length: str
    codes: DeviceCodes
    basis: str = ""
    flags: tuple[Flag, ...] = ()
    port: str = ""
    pathway: str = ""
    panel: str = ""
    held: bool = False
    way: tuple[str, ...] = ()
    power: tuple[str, ...] = ()

    @cached_property
    def lines(self) -> tuple[str, ...]:
        """Lines of text below the mark."""
        hold = (HOLD,) if self.held else ()
        return tuple(line for line in (*hold, self.cable, self.length, *self.way, str(self.codes), *self.power) if line)


@dataclass(frozen=True, slots=True)
class OpeningGroup:
    """Openings that share a pathway, drawn as one line with their count; the members stand in a table."""

    name: str
    way: str
    members: tuple[Drop, ...]
    flags: tuple[Flag, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """Lines of text below the box."""
        held = sum(drop.held for drop in self.members)
        return (*((f"{HOLD}: {held} of {len(self.members)}",) if held else ()), self.way, f"see table {self.name}")


@dataclass(frozen=True, slots=True)
class ClosetOpenings:
    """The openings of one level that one closet serves; closet empty for those that none serves."""

    closet: str
    level: str
    drops: tuple[Drop, ...]


@dataclass(frozen=True, slots=True)
class DeviceBox:
    """A switch or a supply inside a closet: the block, its attributes, and lines of text below it.

    `unknown`: a line has the sign for what is not known.
    """

    subject: str
    symbol: str
    values: Mapping[str, str]
    lines: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    unknown: bool = False


@dataclass(frozen=True, slots=True)
class ClosetBox:
    """A closet with what is in it. `full_name` is its name where that has no room in the header."""

    id: str
    level: str
    label: str
    title: str
    full_name: str
    devices: tuple[DeviceBox, ...]
    flags: tuple[Flag, ...] = ()
    at_m: tuple[float, float] = (0.0, 0.0)
    fed_from: str = ""


@dataclass(frozen=True, slots=True)
class Backbone:
    """A backbone cable between two closets."""

    subject: str
    from_id: str
    to_id: str
    label: str
    detail: str
    basis: str
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True)
class LevelBand:
    """A level: what its band says, the building that it is of, and its height above the site's zero."""

    id: str
    name: str
    elevation: str
    building: str
    building_id: str
    elevation_m: float


@dataclass(frozen=True)
class RiserContent:
    """All that the riser diagram shows. Levels stand top first; `small_mm` is the least height of notes and legend."""

    levels: tuple[LevelBand, ...]
    closets: tuple[ClosetBox, ...]
    backbones: tuple[Backbone, ...]
    groups: tuple[ClosetOpenings, ...]
    accepted: Table | None = None
    open_findings: Table | None = None
    closet: Mapping[str, ClosetBox] = field(default_factory=lambda: MappingProxyType({}))
    small_mm: float = LEAST_HEIGHT_MM
