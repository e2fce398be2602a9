"""Which devices stand in an opening's elevation, and where: read off its wiring, its parts and its stated heights."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Component, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.drawings.elevation.values import ElevationDevice, OpeningShape
from riserkit.model.opening import Opening
from riserkit.model.parts import Lock, RexSensor, is_in_leaf
from riserkit.model.returned import ReturnedDevice
from riserkit.model.site import Site
from riserkit.wiring.closets import closet_place, with_closet_named
from riserkit.wiring.lengths import device_heights_m, rex_place
from riserkit.wiring.places import strike_in_leaf
from riserkit.wiring.roles import DeviceRole

_GATE_BOX_HEIGHT_M: Final = 1.5
_ABOVE_CEILING_MM: Final = 4.6

PRESSED: Final = "elev_release"
"""Block of what people press to get out."""

# kind of part: block, name of its height in `device_heights_m`
_SYMBOLS: Final[Mapping[str, tuple[str, str]]] = {
    "controller": ("elev_controller", "controller"),
    "reader": ("elev_reader", "reader"),
    "strike": ("elev_strike", "lock"),
    "electromagnetic-lock": ("elev_maglock", "lock"),
    "electrified-exit-device": ("elev_exit_device", "lock"),
    "electrified-latch": ("elev_strike", "lock"),
    "door-contact": ("elev_contact", "contact"),
    "power-transfer": ("elev_junction_box", "hinges"),
    "rex-sensor": ("elev_rex", "rex"),
    "exit-switch": (PRESSED, "rex"),
    "release-button": (PRESSED, "release"),
    "leaf-switch": ("elev_exit_device", "rex"),
    "release-bar": ("elev_exit_device", "release"),
}
# Beside the latch, from the opening's edge into the wall: plain arrangement of what hangs at one height.
_BESIDE_M: Final[Mapping[str, float]] = {"controller": 0.28, "reader": 0.28, "exit-switch": 0.6, "release-button": 0.6}
_SECOND_READER_M: Final = 0.75
_NO_FRAME: Final = frozenset({("strike", "double"), ("door-contact", "gate")})
"""What stands in no frame at such an opening: its place is that of the wiring."""
_IN_FRAME: Final = frozenset({"elev_strike", "elev_contact"})
"""Seen from both sides: neither side is where they are."""
_DIMENSIONED: Final = frozenset(
    {
        "controller",
        "reader",
        "exit-switch",
        "release-button",
        "strike",
        "electrified-exit-device",
        "leaf-switch",
        "release-bar",
    }
)


def labelled(design: Design, door: DoorDesign, netlist: Netlist) -> Netlist:
    """A netlist of the door with closets by their labels and its supply by its name, as riser and schedules have them.

    A closet may hold several supplies, even of one kind: by its closet alone a crew cannot tell which feeds this lock.
    """
    labels = design.labels.closet
    supply_id = door.wiring.drawn.supply_id if door.wiring.drawn else ""

    def named(component: Component) -> Component:
        found = with_closet_named(component, closet_place(labels.get(component.closet, component.closet)))
        if supply_id and component.role == DeviceRole.SUPPLY:
            return replace(found, place=", ".join(filter(None, (supply_id, found.place))))
        return found

    return replace(netlist, components=tuple(map(named, netlist.components)))


def opening_shape(opening: Opening, site: Site) -> OpeningShape:
    """The opening itself."""
    level = site.level.get(opening.level)
    ceiling_m = level.ceiling_m if level is not None and opening.has_ceiling else None
    return OpeningShape(opening.type, opening.whole_width_m, opening.height_m, opening.hinges or "left", ceiling_m)


def elevation_devices(door: DoorDesign, site: Site, shape: OpeningShape) -> tuple[ElevationDevice, ...]:
    """The devices at the opening, in the order of the netlist; without one, those that the opening names."""
    netlist = door.wiring.netlist
    components = netlist.components if netlist else _named(door.opening, site)
    at_head = any(_kind(c, site) == "electromagnetic-lock" for c in components)
    rex = site.part.get(door.opening.rex)
    heights = device_heights_m(door.opening, lock_at_head=at_head, rex=rex if isinstance(rex, RexSensor) else None)
    seconds = _seconds(components, strike_in_leaf=_is_strike_in_leaf(door.opening, site))
    found = [
        d for c in components if (d := _at_door(c, door.opening, site, shape, heights, c.ref in seconds)) is not None
    ]
    boxes = [c for c in components if _is_boxed(c, site)]
    found += [_boxed(c, n, shape) for n, c in enumerate(boxes)]
    fitted = site.as_built.devices_of.get(door.mark, {}) if site.as_built else {}
    found = [_as_fitted(d, fitted[d.ref]) if d.ref in fitted else d for d in found]
    order = {c.ref: n for n, c in enumerate(components)}
    return tuple(sorted(found, key=lambda d: order[d.ref]))


def _as_fitted(device: ElevationDevice, row: ReturnedDevice) -> ElevationDevice:
    """A device where it was put: what nobody has said of that is as designed."""
    height_m = row.fitted_height_m
    if height_m is not None:
        # A box that stands above the ceiling unless somebody says otherwise is drawn off its height.
        offset_mm = device.offset_mm if device.height_m is not None else (0.0, 0.0)
        device = replace(device, y_m=height_m, height_m=height_m, basis="measured", offset_mm=offset_mm)
    if row.fitted_side:
        device = replace(device, hidden=row.fitted_side == "secured")
    return replace(device, place=row.fitted_place or (f"{row.fitted_side} side" if row.fitted_side else device.place))


def _named(opening: Opening, site: Site) -> tuple[Component, ...]:
    """Stand-ins for the parts that an opening names, where no wiring could be made."""
    named = (
        ("K1", opening.controller, DeviceRole.CONTROLLER), ("M1", opening.lock, DeviceRole.LOCK),
        ("B1", opening.contact, DeviceRole.DOOR_CONTACT), ("B2", opening.rex, DeviceRole.REX_SENSOR),
        ("S1", opening.release, DeviceRole.MANUAL_RELEASE),
    )  # fmt: skip
    return tuple(
        Component(ref, site.part[part].title or part, (), part=part, role=role)
        for ref, part, role in named
        if part and part in site.part
    )


def _seconds(components: Sequence[Component], *, strike_in_leaf: bool) -> frozenset[str]:
    """Designations of what the second leaf has too: its lock, its contact, the switch in its bar."""
    of_leaves = (
        DeviceRole.LOCK, DeviceRole.DOOR_CONTACT, DeviceRole.POWER_TRANSFER, DeviceRole.REX_SENSOR, DeviceRole.MANUAL_RELEASE,
    )  # fmt: skip
    found = {c.ref for role in of_leaves for c in [c for c in components if c.role == role][1:]}
    if strike_in_leaf:
        # the strike's wires go over the hinges of the second leaf alone
        found |= {
            c.ref for c in components if c.role == DeviceRole.POWER_TRANSFER and any(t.name == "+" for t in c.terminals)
        }
    return frozenset(found)


def _is_strike_in_leaf(opening: Opening, site: Site) -> bool:
    lock = site.part.get(opening.lock)
    return strike_in_leaf(opening, lock if isinstance(lock, Lock) else None)


def _kind(component: Component, site: Site) -> str:
    """Kind of its part; an unpowered request to exit is a switch to press, which no sensor's place suits."""
    if component.role == DeviceRole.POWER_TRANSFER:
        return "power-transfer"
    part = site.part.get(component.part)
    if isinstance(part, RexSensor):
        return rex_place(part)
    if is_in_leaf(part):
        return "release-bar"
    return part.kind if part else ""


def _is_boxed(component: Component, site: Site) -> bool:
    """What goes into a box on the secured side: junction box, relay module, splitter, supply at the door."""
    if component.role == DeviceRole.JUNCTION_BOX:
        return True
    return _kind(component, site) in ("relay", "splitter", "dc-supply") and not component.closet


def _at_door(
    component: Component, opening: Opening, site: Site, shape: OpeningShape, heights: Mapping[str, float], second: bool
) -> ElevationDevice | None:
    kind = _kind(component, site)
    if kind not in _SYMBOLS:
        return None
    symbol, height_name = _SYMBOLS[kind]
    height_m = heights[height_name]
    hidden = _is_hidden(component, kind, opening)
    offset_mm = _offset_mm(kind, shape, second=second or (kind == "strike" and _is_strike_in_leaf(opening, site)))
    return ElevationDevice(
        component.ref, component.title, symbol, _x_m(kind, shape, component, second=second), height_m, hidden, height_m,
        _basis(kind, opening), kind in _DIMENSIONED and not (second and shape.type == "double"),
        shape.outward if kind in _BESIDE_M or second else -shape.outward, offset_mm, kind != "power-transfer",
        component.place if (kind, shape.type) in _NO_FRAME else "",
    )  # fmt: skip


def _offset_mm(kind: str, shape: OpeningShape, *, second: bool) -> tuple[float, float]:
    """Symbols are as large on every scale: those at the frame stand just inside it, those above it just above."""
    if kind in ("strike", "electrified-latch"):
        inward = (1 if second else -1) if shape.type == "double" else -shape.outward
        return inward * 1.9, 0.0
    if kind == "door-contact":
        # clear of the dashed line that runs to the latch's corner
        side = (1 if second else -1) if shape.type == "double" else -shape.outward
        return side * 3.5, 2.2 if shape.type == "gate" else -2.2
    return 0.0, {"electromagnetic-lock": -2.5, "rex-sensor": 1.0}.get(kind, 0.0)


def _is_hidden(component: Component, kind: str, opening: Opening) -> bool:
    if kind == "controller":
        return opening.controller_at != "unsecured"
    if kind == "reader":
        return not component.exposed
    # a strike and a contact stand in the frame and are seen from both sides
    return kind not in ("strike", "door-contact")


def _x_m(kind: str, shape: OpeningShape, component: Component, *, second: bool) -> float:
    latch, outward = shape.latch_x_m, shape.outward
    if kind in _BESIDE_M:
        beside = _BESIDE_M[kind]
        if kind == "reader" and not component.exposed:
            beside = _SECOND_READER_M
        return shape.wall_x_m + outward * beside
    double = shape.type == "double"
    side = (1 if second else -1) if double else -outward
    if kind == "rex-sensor":
        return shape.width_m / 2
    if kind == "power-transfer":
        leaf_m = shape.width_m / 2 if double else shape.width_m
        return latch + side * leaf_m
    inward = {
        "door-contact": 0.3 if double else 0.12, "electromagnetic-lock": 0.42, "electrified-exit-device": 0.42,
        # toward the hinges of an exit device in the same bar
        "leaf-switch": 0.6, "release-bar": 0.5,
    }  # fmt: skip
    return latch + side * inward.get(kind, 0.0)


def _basis(kind: str, opening: Opening) -> str:
    stated = {
        "controller": opening.reader_height_m,
        "reader": opening.reader_height_m,
        "release-button": opening.release_height_m,
        "rex-sensor": opening.rex_height_m,
        "exit-switch": opening.rex_height_m,
        "leaf-switch": opening.rex_height_m,
        "release-bar": opening.release_height_m,
    }.get(kind)
    return "stated" if stated is not None else "typical"


def _boxed(component: Component, n: int, shape: OpeningShape) -> ElevationDevice:
    x_m, lettered = 0.15 + n * 0.45, component.role == DeviceRole.JUNCTION_BOX
    if shape.ceiling_m is None:
        x_m = shape.wall_x_m + shape.outward * (0.3 + 0.35 * n)
        return ElevationDevice(
            component.ref, component.title, "elev_junction_box", x_m, _GATE_BOX_HEIGHT_M, True, _GATE_BOX_HEIGHT_M,
            "typical", lettered=lettered,
        )  # fmt: skip
    return ElevationDevice(
        component.ref, component.title, "elev_junction_box", x_m, shape.top_m, True, None, "typical",
        offset_mm=(0.0, _ABOVE_CEILING_MM), lettered=lettered,
    )  # fmt: skip


def drawn_devices(devices: tuple[ElevationDevice, ...]) -> Iterator[tuple[ElevationDevice, str]]:
    """Each device with its place in words."""
    for device in devices:
        if device.place:
            yield device, device.place
        elif device.height_m is None:
            yield device, "above ceiling"
        elif device.symbol in _IN_FRAME and not device.hidden:
            yield device, "in the frame"
        else:
            yield device, "secured side" if device.hidden else "unsecured side"
