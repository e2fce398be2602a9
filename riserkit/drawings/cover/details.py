"""What the cover says of door details: their symbols, and the letters of colours, as the set really uses them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.design import Design
from riserkit.drawings.cover.samples import BALLOON, BRIDGE, HIDDEN, JACKET, SPARE, TERMINAL
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.dxf.symbols import ELEVATION_SYMBOLS
from riserkit.drawings.setting.legend import LegendEntry, SymbolSample
from riserkit.drawings.wiring.chains import chains
from riserkit.drawings.wiring.draw import symbol_block
from riserkit.standards.colours import COLOUR_NAMES

_MEANINGS: Final = {
    "contact_no": "contact that closes when its device acts (make contact)",
    "contact_nc": "contact that opens when its device acts (break contact)",
    "coil": "coil of a relay or a lock",
    "diode": "diode, cathode at the bar",
    "battery": "source of direct current, long stroke plus",
    "suppressor": "suppressor (voltage dependent resistor)",
}


def detail_symbols(design: Design) -> tuple[LegendEntry, ...]:
    """Samples of what the doors' elevations and wirings show."""
    return (*_elevations(design), *_wirings(design))


def _elevations(design: Design) -> Iterator[LegendEntry]:
    devices = [
        device
        for door in design.doors
        for device in elevation_devices(door, design.site, opening_shape(door.opening, design.site))
    ]
    used = {device.symbol for device in devices}
    for symbol in ELEVATION_SYMBOLS:
        if symbol.name in used:
            meaning = symbol.meaning.removesuffix(", in elevation")
            yield LegendEntry(SymbolSample(symbol.name), f"Elevations: {meaning[:1].lower()}{meaning[1:]}")
    if any(device.hidden for device in devices):
        yield LegendEntry(HIDDEN, "Elevations: dashed, not seen from the unsecured side")
    if devices:
        yield LegendEntry(BALLOON, "Elevations: reference designation, as in the wiring and the tables")


def _wirings(design: Design) -> Iterator[LegendEntry]:
    netlists = [door.wiring.netlist for door in design.doors if door.wiring.netlist is not None]
    links = {
        (link.kind, link.normally_closed)
        for netlist in netlists
        for component in netlist.components
        for chain in chains(component)
        for link in chain.links
    }
    if not any(netlist.conductors for netlist in netlists):
        return
    yield LegendEntry(TERMINAL, "Wiring: terminal of a device, with a conductor landed")
    yield LegendEntry(JACKET, "Wiring: oval round the conductors of one cable, with the cable's designation")
    yield LegendEntry(BRIDGE, "Wiring: lines that cross with an arc do not meet")
    if any(netlist.spares for netlist in netlists):
        yield LegendEntry(SPARE, "Wiring: spare conductors, each insulated by itself")
    blocks = {symbol_block(kind, normally_closed=closed) for kind, closed in links}
    for name, meaning in _MEANINGS.items():
        if name in blocks:
            yield LegendEntry(SymbolSample(name), f"Wiring: {meaning}")


def colour_letters(design: Design) -> Iterator[tuple[str, str]]:
    """Colour letters after IEC 60757 on the conductors of the doors, with the word for a PoE cable's pairs."""
    netlists = [door.wiring.netlist for door in design.doors if door.wiring.netlist is not None]
    used = {c.colour for n in netlists for c in n.conductors} | {s.colour for n in netlists for s in n.spares}
    yield from ((code, f"{name} (IEC 60757)") for code, name in COLOUR_NAMES.items() if code in used)
    if "4PR" in used:
        yield "4PR", "four twisted pairs of a PoE cable"
