"""Columns of a wiring diagram: the same kind of device stands in the same place at every door."""

from __future__ import annotations

import pytest

from riserkit.drawings.wiring.columns import splits
from riserkit.drawings.wiring.plan import Ends, LayoutProblem
from riserkit.drawings.wiring.rows import DeviceRows, Landed
from riserkit.wiring.roles import DeviceRole


def problem_of(roles: str | list[str], target_steps: int = 100) -> LayoutProblem:
    """Devices of these roles, each wired to the one before it."""
    devices = tuple(
        DeviceRows(("1", "2"), ((Landed(n - 1, "", False),), (Landed(n, "", False),)), (), (), 4, role)
        for n, role in enumerate(roles)
    )
    wires = tuple(Ends(n, "", n, "2", n + 1, "1") for n in range(len(devices) - 1))
    return LayoutProblem(devices, wires, target_steps)


DOOR = [
    DeviceRole.NETWORK_PORT, DeviceRole.CONTROLLER, DeviceRole.DOOR_CONTACT, DeviceRole.REX_SENSOR,
    DeviceRole.RELAY_MODULE, DeviceRole.JUNCTION_BOX, DeviceRole.SUPPLY, DeviceRole.LOCK,
]  # fmt: skip


@pytest.mark.parametrize(
    ("columns", "expected"),
    [(2, (0, 0, 1, 1, 1, 1, 1, 1)), (3, (0, 0, 1, 1, 1, 2, 2, 2)), (4, (0, 0, 1, 1, 1, 2, 2, 3))],
)
def test_devices_stand_from_port_to_lock(columns: int, expected: tuple[int, ...]) -> None:
    assert list(splits(problem_of(DOOR), columns)) == [expected]


def test_no_column_is_empty() -> None:
    roles = [DeviceRole.NETWORK_PORT, DeviceRole.CONTROLLER, DeviceRole.LOCK]
    assert list(splits(problem_of(roles), 4)) == [(0, 0, 1)]


def test_a_relay_module_may_leave_a_crowded_column() -> None:
    found = list(splits(problem_of(DOOR, target_steps=20), 4))
    assert found == [(0, 0, 1, 1, 1, 2, 2, 3), (0, 0, 1, 1, 2, 2, 2, 3)]


def test_a_device_of_a_kind_not_known_is_placed_by_its_wires() -> None:
    found = list(splits(problem_of([*DOOR[:2], "turnstile", DeviceRole.LOCK]), 3))
    assert len(found) == 2
    assert all(set(split) <= {0, 1, 2} and split[0] == 0 for split in found)
