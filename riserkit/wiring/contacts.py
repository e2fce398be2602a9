"""The contacts of a door's circuit that stand on a part of its own, each pole with what it may carry and break."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from riserkit.circuits.netlist import ElementKind, Landing, Netlist
from riserkit.model.parts import Contact, Controller, FireRelay, Lock, PartBase, Relay, ReleaseButton, RexSensor
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import ElementRole

# What a kind is called, and the name of its tests.
_KINDS: Final[Mapping[type[PartBase], tuple[str, str]]] = {
    Controller: ("controller's contact", "output-contact"),
    Relay: ("relay's contact", "relay-contact"),
    ReleaseButton: ("manual release", "release-contact"),
    RexSensor: ("REX sensor", "sensor-contact"),
    FireRelay: ("fire alarm relay", "fire-contact"),
    Contact: ("door contact", "door-contact"),
    Lock: ("lock's own contact", "lock-contact"),
}
_IN_FEED: Final = frozenset(
    {
        ElementRole.OUTPUT_NO, ElementRole.OUTPUT_NC, ElementRole.MODULE_NO, ElementRole.MODULE_NC,
        ElementRole.RELEASE_POLE, ElementRole.SENSOR_POLE, ElementRole.FIRE_CONTACT,
    }
)  # fmt: skip
_OF_LOCK: Final = frozenset({ElementRole.LATCH_CONTACT, ElementRole.BOND_CONTACT})
_ON_INPUT: Final = _OF_LOCK | {ElementRole.RELEASE_SIGNAL, ElementRole.SENSOR_CONTACT, ElementRole.DOOR_CONTACT}


@dataclass(frozen=True, slots=True)
class RatedContact:
    """One pole that carries current in this circuit.

    Args:
        ref: designation of its component.
        part: id of its part.
        element: `component.element`.
        pole: its terminals, such as `11-12`.
        what: what it is, in words.
        test: name of the tests of it.
        in_feed: it is in the lock's feed; else it signals an input of the controller.
        most_v: most voltage that it has to break: of the source behind it.
        carries_a: what it may carry; None, as the next, where its part does not say.
        breaks_v: what it may break.
    """

    ref: str
    part: str
    element: str
    pole: str
    what: str
    test: str
    in_feed: bool
    most_v: float
    carries_a: float | None
    breaks_v: float | None


def rated_contacts(circuit: DoorCircuit, parts: Mapping[str, PartBase]) -> tuple[RatedContact, ...]:
    """Every contact of the door's own parts that is landed at both ends.

    Args:
        circuit: of the door.
        parts: the door's parts by id.
    """
    return tuple(_contacts(circuit, parts))


def _contacts(circuit: DoorCircuit, parts: Mapping[str, PartBase]) -> Iterator[RatedContact]:
    netlist = circuit.netlist
    lock_v, input_v = source_high_v(netlist, circuit.lock_source), _input_high_v(netlist)
    for component in netlist.components:
        part = parts.get(component.part)
        if not isinstance(part, Controller | Relay | ReleaseButton | RexSensor | FireRelay | Contact | Lock):
            continue
        what, test = _KINDS[type(part)]
        for element in component.elements:
            # Behind an inner contact that opens with the door, the own contact of a lock is still its terminals 1 and 2.
            ends = ("1", "2") if element.role in _OF_LOCK and element.b == "2" else (element.a, element.b)
            if element.role in _IN_FEED | _ON_INPUT and all(_landed(netlist, component.ref, end) for end in ends):
                feeds = element.role in _IN_FEED
                yield RatedContact(
                    component.ref, part.id, f"{component.ref}.{element.name}", f"{ends[0]}-{ends[1]}", what, test,
                    feeds, lock_v if feeds else input_v, part.contact_a, part.contact_v,
                )  # fmt: skip


def _landed(netlist: Netlist, ref: str, terminal: str) -> bool:
    return any(netlist.at(Landing(ref, terminal)))


def source_high_v(netlist: Netlist, name: str) -> float:
    """Most voltage of a source `component.element`; 0 where the netlist has none of that name."""
    ref, _, element_name = name.partition(".")
    sources = (e for c in netlist.components if c.ref == ref for e in c.elements if e.name == element_name)
    return max((e.values["v_high_v"] for e in sources if e.kind is ElementKind.SOURCE), default=0.0)


def _input_high_v(netlist: Netlist) -> float:
    """Most voltage at the inputs of the controller."""
    names = netlist.elements(ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)
    return max((source_high_v(netlist, name) for name in names), default=0.0)
