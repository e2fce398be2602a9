"""The conductors of a door in the order in which a crew lands them: what brings power comes last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.circuits.netlist import Cable, Conductor, Netlist
from riserkit.wiring.roles import DeviceRole

_FIRST: Final = (
    "contact", "lock_contact", "rex", "request", "reader", "release", "relay", "box", "rex_feed", "fire", "trigger", "leaf",
    "lock",
)  # fmt: skip
_LAST: Final = ("supply", "feed", "data_tail", "data")
"""Supply, then the cable of the switch: a terminal is dead until all the others are landed. Common practice, no source."""


def cables_in_order(netlist: Netlist) -> tuple[Cable, ...]:
    """Signals first, then the lock, then whatever else there is, then what brings power."""
    return tuple(sorted(netlist.cables, key=_rank))


def _rank(cable: Cable) -> int:
    if cable.role in _LAST:
        return len(_FIRST) + 1 + _LAST.index(cable.role)
    return _FIRST.index(cable.role) if cable.role in _FIRST else len(_FIRST)


def conductors_in_order(netlist: Netlist) -> Iterator[Conductor]:
    """Leads and jumpers, then conductors cable by cable; each conductor of the netlist once."""
    cables = {cable.ref for cable in netlist.cables}
    yield from (c for c in netlist.conductors if c.cable not in cables)
    for cable in cables_in_order(netlist):
        yield from (c for c in netlist.conductors if c.cable == cable.ref)


def power_sources(netlist: Netlist) -> tuple[str, ...]:
    """Where power is cut before hands go in: supplies by designation; the switch port is named by its label."""
    found = netlist.devices(DeviceRole.SUPPLY, DeviceRole.OWN_SUPPLY)
    return tuple(f"{component.ref} {component.title}" for component in found)
