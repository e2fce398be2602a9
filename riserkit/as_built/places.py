"""What a returned row names: the port, the closet, the cable, the column of a device's part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from riserkit.circuits.netlist import Component
from riserkit.design import Design, DoorDesign
from riserkit.model.as_built import AsBuilt
from riserkit.model.returned import ReturnedLength, ReturnedPort
from riserkit.wiring.roles import DeviceRole

# Role of a device -> column of its opening that names its part.
_PART_COLUMN: Final[Mapping[str, str]] = {
    DeviceRole.CONTROLLER: "controller", DeviceRole.LOCK: "lock", DeviceRole.DOOR_CONTACT: "contact",
    DeviceRole.REX_SENSOR: "rex", DeviceRole.MANUAL_RELEASE: "release", DeviceRole.RELAY_MODULE: "relay",
    DeviceRole.SPLITTER: "splitter", DeviceRole.SUPPRESSOR: "suppressor", DeviceRole.FIRE_RELAY: "fire_relay",
}  # fmt: skip
_HEIGHT_COLUMN: Final[Mapping[str, str]] = {
    DeviceRole.READER: "reader_height_m",
    DeviceRole.CONTROLLER: "reader_height_m", DeviceRole.REX_SENSOR: "rex_height_m",
    DeviceRole.MANUAL_RELEASE: "release_height_m",
}  # fmt: skip


def part_column(door: DoorDesign, component: Component) -> str:
    """The column of an opening that names a device's part; empty where none does."""
    if component.role == DeviceRole.READER:
        inside = component.part and component.part == door.opening.reader_in
        return "reader_in" if inside else "reader_out"
    return _PART_COLUMN.get(component.role, "")


def height_column(door: DoorDesign, component: Component) -> str:
    """The column of an opening that states a device's height; empty where none does.

    A controller on the secured side of an opening with readers of its own is nothing that people reach for.
    """
    netlist = door.wiring.netlist
    if (
        component.role == DeviceRole.CONTROLLER
        and not component.exposed
        and netlist
        and netlist.devices(DeviceRole.READER)
    ):
        return ""
    return _HEIGHT_COLUMN.get(component.role, "")


def used_port(made: Design, built: AsBuilt, mark: str) -> tuple[str, str, int] | None:
    """Closet, switch and port where an opening's cable was returned to go; None where nothing was."""
    row = next((row for row in built.ports if row.opening == mark), None)
    return resolved_port(made, row) if row is not None else None


def resolved_port(made: Design, row: ReturnedPort) -> tuple[str, str, int] | None:
    """What a row of ports says, closet and switch as ids; None where it names no port of the site."""
    if not row.used_port:
        return None
    for subject, label in made.labels.port.items():
        if row.used_port == label:
            switch, _, port = subject.rpartition(":")
            return made.site.switch[switch].closet, switch, int(port)
    closet = closet_named(made, row.used_closet)
    placement = made.door[row.opening].placement if row.opening in made.door else None
    if row.used_port.isdecimal() and placement is not None and placement.switch and closet in ("", placement.closet):
        return placement.closet, placement.switch, int(row.used_port)
    return None


def closet_named(made: Design, name: str) -> str:
    """The id of the closet of this id or label; empty where there is none."""
    if name in made.site.closet:
        return name
    return next((closet for closet, label in made.labels.closet.items() if label == name), "")


def built_length(made: Design, built: AsBuilt, subject: str) -> ReturnedLength | None:
    """What was returned of a data or backbone cable, by its subject."""
    label = made.labels.cable.get(subject, subject)
    return next((row for row in built.lengths if row.cable in (label, subject)), None)


def tested_length_m(made: Design, built: AsBuilt, subject: str) -> float | None:
    """The length of a data or backbone cable by its tester."""
    label = made.labels.cable.get(subject, subject)
    test = built.test_of.get(label) or built.test_of.get(subject)
    return test.length_m if test is not None else None
