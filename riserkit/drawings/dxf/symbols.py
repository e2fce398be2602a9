"""Symbols: for each block its attributes, its room, and where conductors land on it.

Contacts, coils, diode, battery and earth follow IEC 60617 (from memory); where no standard has a symbol, a plain
shape with letters of the trade stands for the thing. A block that takes the place of a shipped one keeps these
attributes and ports. Millimetres from the block's base point.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect


@dataclass(frozen=True)
class Symbol:
    """One symbol.

    Args:
        name: of the block and its file.
        meaning: words for the legend.
        body: what its lines cover.
        tags: attributes.
        ports: named points where lines end.
        letters: letters drawn in it, for the list of abbreviations.
    """

    name: str
    meaning: str
    body: Rect
    tags: tuple[str, ...] = ()
    ports: MappingProxyType[str, Point] = field(default_factory=lambda: MappingProxyType({}))
    letters: str = ""


WIRING_DEVICE: Final = "wiring_device"
"""Stands in the upper left corner of a device's box, whose size follows its terminals, and has its values, unseen."""


def _ports(**points: Point) -> MappingProxyType[str, Point]:
    return MappingProxyType(points)


_TWO: Final = _ports(P1=(0.0, 5.0), P2=(0.0, -5.0))


def _elevation(name: str, meaning: str, body: Rect, letters: str) -> Symbol:
    return Symbol(name, meaning, body, ("REF",), letters=letters)


RISER_SYMBOLS: Final = (
    Symbol(
        "closet",
        "Closet (telecom room)",
        Rect(-20, -7, 20, 7),
        ("REF", "TITLE"),
        _ports(LEFT=(-20.0, 0.0), RIGHT=(20.0, 0.0), TOP=(0.0, 7.0), BOTTOM=(0.0, -7.0)),
    ),
    Symbol(
        "switch",
        "Network switch that feeds power over the cable",
        Rect(-20, -6, 20, 6),
        ("REF", "PORTS", "LABEL"),
        _ports(LEFT=(-20.0, 0.0), RIGHT=(20.0, 0.0), TOP=(0.0, 6.0), BOTTOM=(0.0, -6.0)),
        "SW",
    ),
    Symbol("opening_single", "Opening, single leaf", Rect(-4, -12, 4, 0), ("MARK",), _ports(TOP=(0.0, 0.0))),
    Symbol("opening_double", "Opening, two leaves", Rect(-6, -12, 6, 0), ("MARK",), _ports(TOP=(0.0, 0.0))),
    Symbol("opening_gate", "Gate", Rect(-6, -12, 6, 0), ("MARK",), _ports(TOP=(0.0, 0.0))),
    Symbol(
        "supply",
        "Direct current supply",
        Rect(-12, -6, 12, 6),
        ("REF", "LABEL"),
        _ports(LEFT=(-12.0, 0.0), RIGHT=(12.0, 0.0), TOP=(0.0, 6.0), BOTTOM=(0.0, -6.0)),
    ),
)

CIRCUIT_SYMBOLS: Final = (
    Symbol("contact_no", "Make contact (normally open)", Rect(-2.5, -5, 0, 5), ("REF",), _TWO),
    Symbol("contact_nc", "Break contact (normally closed)", Rect(0, -5, 2.4, 5), ("REF",), _TWO),
    Symbol("coil", "Coil of a relay or a lock", Rect(-5, -5, 5, 5), ("REF",), _ports(A1=(0.0, 5.0), A2=(0.0, -5.0))),
    Symbol("diode", "Diode, cathode at the bar", Rect(-2.5, -5, 2.5, 5), ("REF",), _ports(K=(0.0, 5.0), A=(0.0, -5.0))),
    Symbol("suppressor", "Suppressor (voltage dependent resistor)", Rect(-3, -5, 3, 5), ("REF",), _TWO),
    Symbol("battery", "Battery, long stroke plus", Rect(-4, -5, 4, 5), ("REF",), _ports(P=(0.0, 5.0), M=(0.0, -5.0))),
)

ELEVATION_SYMBOLS: Final = (
    _elevation("elev_reader", "Reader, in elevation", Rect(-2, -4, 2, 4), "R"),
    _elevation("elev_controller", "Controller, in elevation", Rect(-3, -4, 3, 4), "C"),
    _elevation("elev_strike", "Electric strike, in elevation", Rect(-1.5, -4, 1.5, 4), "S"),
    _elevation("elev_maglock", "Electromagnetic lock, in elevation", Rect(-8, -2, 8, 2), "M"),
    _elevation("elev_exit_device", "Exit device, in elevation", Rect(-12, -2, 12, 2), "E"),
    _elevation("elev_contact", "Door position switch, in elevation", Rect(-3, -1.75, 3, 1.75), "D"),
    _elevation("elev_rex", "Request-to-exit sensor, in elevation", Rect(-4, -2, 4, 2), "X"),
    _elevation("elev_release", "Push button (exit switch or manual release), in elevation", Rect(-3, -3, 3, 3), "B"),
    _elevation("elev_junction_box", "Junction box, in elevation", Rect(-3, -3, 3, 3), "J"),
)


def _plan(name: str, meaning: str) -> Symbol:
    return Symbol(name, meaning, Rect(-4, -2.5, 4, 2.5), ("REF", "MARK"))


PLAN_SYMBOLS: Final = (
    _plan("plan_controller", "Controller, in plan"),
    _plan("plan_reader", "Reader, in plan"),
    _plan("plan_lock", "Lock, in plan"),
    _plan("plan_contact", "Door position switch, in plan"),
    _plan("plan_rex", "Request-to-exit sensor, in plan"),
    _plan("plan_button", "Push button (exit switch or manual release), in plan"),
    _plan("plan_transfer", "Power transfer at the hinges, in plan"),
    _plan("plan_junction_box", "Junction box, in plan"),
    _plan("plan_box", "Relay, splitter or supply in a box at the door, in plan"),
)

ANNOTATION_SYMBOLS: Final = (
    Symbol("north_arrow", "North", Rect(-6, -6, 6, 9.25), letters="N"),
    Symbol(WIRING_DEVICE, "Device of a wiring diagram", Rect(0, -1.2, 1.2, 0), ("REF", "TITLE", "PLACE")),
    Symbol("revision_delta", "Changed with this revision", Rect(-3.5, -2.02, 3.5, 4.04), ("REV",)),
)

SYMBOLS: Final = MappingProxyType(
    {
        symbol.name: symbol
        for group in (
            RISER_SYMBOLS,
            CIRCUIT_SYMBOLS,
            ELEVATION_SYMBOLS,
            PLAN_SYMBOLS,
            ANNOTATION_SYMBOLS,
        )
        for symbol in group
    }
)
