"""What one door takes: read off its netlist, with what the trade brings along besides."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.circuits.netlist import Component, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.model.parts import Lock
from riserkit.reports.materials.stated import BY_FIRE_ALARM, stated_lines
from riserkit.reports.materials.values import CABLE_LABELS, CORDS, JACKS, SPLICES, MaterialLine, Needed, cable_line
from riserkit.reports.schedules.wires import device_cables
from riserkit.standards.locks import PLUG_HOLE_MIN_M
from riserkit.wiring.roles import DeviceRole

# A splice is no box: it is counted with the conductors landed in it.
_UNCOUNTED: Final = (DeviceRole.NETWORK_PORT, DeviceRole.SPLICE)
_BY_OTHERS: Final = frozenset({"by others", BY_FIRE_ALARM})

INSULATION: Final = MaterialLine(
    "consumable", "", "Heat-shrink or cap", note="one at each end of each spare conductor, each by itself"
)
GREASE: Final = MaterialLine("consumable", "", "Dielectric grease, one door", note="into terminals and jack; outdoors")
SEALANT: Final = MaterialLine(
    "consumable", "", "Sealant, one plate", note="around the plate, not below its drain; outdoors"
)
HOLE: Final = MaterialLine(
    "box", "", f"Hole of at least {1000 * PLUG_HOLE_MIN_M.value:.0f} mm (1 in), no back box",
    note="a moulded 8P8C plug must pass",
)  # fmt: skip


BRACKET: Final = MaterialLine(
    "part", "", "Bracket that holds a magnet's armature off the leaf",
    note="the leaf swings to the side that the magnet is on; size by lock and frame",
)  # fmt: skip


def door_lines(design: Design, door: DoorDesign) -> Iterator[Needed]:
    """Everything that one door takes, not yet added up."""
    yield from _horizontal(design, door)
    yield from _supplies(design, door)
    netlist = door.wiring.netlist
    if netlist is None:
        yield from stated_lines(design, door.opening)
        return
    yield from _parts(design, door, netlist)
    yield from _cables(design, netlist)
    yield from _box(design, door)
    spliced = {c.ref for c in netlist.devices(DeviceRole.JUNCTION_BOX, DeviceRole.SPLICE)}
    landed = sum(end.component in spliced for c in netlist.conductors for end in (c.a, c.b))
    if landed:
        yield SPLICES, landed
    if netlist.spares:
        yield INSULATION, 2 * len(netlist.spares)
    if door.opening.swings_to == "secured":
        yield from ((BRACKET, 1) for _ in _magnets(design, netlist))
    if door.opening.outdoor:
        yield from ((GREASE, 1), (SEALANT, 1))


def _horizontal(design: Design, door: DoorDesign) -> Iterator[Needed]:
    if door.cable is None:
        return
    kind = design.site.cable_type[door.cable.cable_type]
    if door.cable.route is not None:
        yield cable_line(kind), door.cable.route.length_m
    yield JACKS, 2
    yield CORDS, 2
    yield CABLE_LABELS, 2


def _parts(design: Design, door: DoorDesign, netlist: Netlist) -> Iterator[Needed]:
    for component in netlist.components:
        if component.role in _UNCOUNTED or (component.role == DeviceRole.SUPPLY and _is_the_sites(door)):
            continue
        yield _part_line(design, component), 1


def _magnets(design: Design, netlist: Netlist) -> Iterator[Component]:
    parts = design.site.part
    for component in netlist.devices(DeviceRole.LOCK):
        part = parts.get(component.part)
        if isinstance(part, Lock) and part.kind == "electromagnetic-lock":
            yield component


def _part_line(design: Design, component: Component) -> MaterialLine:
    part = design.site.part.get(component.part)
    note = component.place if component.place in _BY_OTHERS else ""
    if component.role == DeviceRole.POWER_TRANSFER:
        note = _over_the_hinges(component)
    # Every opening's auxiliary contact, junction box and splice is the same thing, whatever it is called on its sheet.
    return MaterialLine("part", component.part, part.title if part and part.title else component.title, note=note)


def _over_the_hinges(transfer: Component) -> str:
    """What a power transfer is for; how many wires it takes where they are more than a lock's two."""
    wires, locked = len(transfer.terminals), any(t.name == "+" for t in transfer.terminals)
    if locked and wires == 2:
        return "for a lock in the leaf"
    return f"for {'lock and switch' if locked else 'a switch'} in the leaf, {wires} wires or more"


def _is_the_sites(door: DoorDesign) -> bool:
    """The supply is one of the site's: counted where it is, not at each door that it feeds."""
    return door.wiring.drawn is not None and bool(door.wiring.drawn.supply_id)


def _supplies(design: Design, door: DoorDesign) -> Iterator[Needed]:
    for supply in design.site.supplies:
        if supply.opening == door.mark:
            yield MaterialLine("part", supply.part, design.site.part_title(supply.part)), 1


def _cables(design: Design, netlist: Netlist) -> Iterator[Needed]:
    for cable in device_cables(netlist):
        kind = design.site.cable_type[cable.cable_type]
        yield cable_line(kind), cable.length_m
        yield CABLE_LABELS, 2
        if kind.kind == "category":
            yield JACKS, 2


def _box(design: Design, door: DoorDesign) -> Iterator[Needed]:
    if not door.opening.back_box:
        yield HOLE, 1
        return
    part = design.site.part.get("back-box")
    yield (
        MaterialLine(
            "box", "back-box", part.title if part and part.title else "Back box", note="behind the controller"
        ),
        1,
    )
