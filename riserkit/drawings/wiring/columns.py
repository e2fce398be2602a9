"""Which device is in which column: by what it is there for, else by what it is wired to.

What a crew looks for at a door is the same in every arrangement: switch port and controller on the left, what the controller
reads and switches beside them, then junctions and supplies, lock and release on the right. A device of a plugin's own kind is
not known here; then the wiring decides for the whole diagram.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.drawings.wiring.plan import LayoutProblem
from riserkit.wiring.roles import DeviceRole

_LEAST_PLACES: Final = 2
_BESIDE: Final = 1
_PLACES: Final = {
    DeviceRole.NETWORK_PORT: 0,
    DeviceRole.SPLITTER: 0,
    DeviceRole.CONTROLLER: 0,
    DeviceRole.DOOR_CONTACT: _BESIDE,
    DeviceRole.AUXILIARY_CONTACT: _BESIDE,
    DeviceRole.REX_SENSOR: _BESIDE,
    DeviceRole.READER: _BESIDE,
    DeviceRole.RELAY_MODULE: _BESIDE,
    DeviceRole.JUNCTION_BOX: 2,
    DeviceRole.SUPPLY: 2,
    DeviceRole.OWN_SUPPLY: 2,
    DeviceRole.SPLICE: 2,
    DeviceRole.POWER_TRANSFER: 2,
    DeviceRole.LOCK: 3,
    DeviceRole.MANUAL_RELEASE: 3,
    DeviceRole.FIRE_RELAY: 3,
}
"""Places of devices from left to right, as four columns hold them; with fewer columns the last places share one."""


def splits(problem: LayoutProblem, columns: int) -> Iterator[tuple[int, ...]]:
    """Ways worth a try to divide the devices among so many columns at most: the column of each device."""
    roles = {device.role for device in problem.devices}
    if not roles <= set(_PLACES) or len({_PLACES[DeviceRole(role)] for role in roles}) < _LEAST_PLACES:
        yield _even(problem, columns)
        yield _around_hub(problem, columns)
        return
    places = [_PLACES[DeviceRole(device.role)] for device in problem.devices]
    yield _divided(places, columns)
    beside = sum(d.least_steps for d, place in zip(problem.devices, places, strict=True) if place == _BESIDE)
    if beside > problem.target_steps:
        # crowded: the module goes to what it feeds
        module = [device.role == DeviceRole.RELAY_MODULE for device in problem.devices]
        yield _divided([place + moved for place, moved in zip(places, module, strict=True)], columns)


def _divided(places: list[int], columns: int) -> tuple[int, ...]:
    """Columns for these places, none of them empty."""
    found = [min(place, columns - 1) for place in places]
    held = sorted(set(found))
    return tuple(held.index(column) for column in found)


def _even(problem: LayoutProblem, columns: int) -> tuple[int, ...]:
    """The devices' own order cut so that columns are about equally high."""
    heights = [device.least_steps for device in problem.devices]
    total, run = sum(heights), 0
    even = []
    for height in heights:
        even.append(min(columns - 1, int(columns * (run + height / 2) / total)))
        run += height
    return tuple(even)


def _around_hub(problem: LayoutProblem, columns: int) -> tuple[int, ...]:
    """What has most conductors to the left with all before it, what is wired to it beside it, the rest on the right."""
    degree = [len(wires) for wires in problem.wires_of]
    hub = max(range(len(degree)), key=lambda n: (degree[n], -n))
    near = {w.b if w.a == hub else w.a for w in problem.wires_of[hub]}
    return tuple(0 if n <= hub else (1 if n in near else columns - 1) for n in range(len(degree)))
