"""The powered devices of a door's circuit, each with the terminals at which its voltage counts and what it is made for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from riserkit.circuits.netlist import Component, ElementKind, Netlist
from riserkit.model.parts import Controller, Lock, PartBase, Reader, Relay, RexSensor
from riserkit.wiring.roles import ElementRole

_TRIGGER: Final = "trigger input"


@dataclass(frozen=True, slots=True)
class PoweredDevice:
    """A device that a circuit feeds.

    Args:
        ref: its designation.
        part: id of its part; empty for a supply that belongs to a lock.
        what: what it is, in words, such as `REX sensor`.
        plus: node `component.terminal` of its plus.
        minus: of its minus.
        switched: it has its voltage in one state only, as a trigger has, and counts in that.
        rated_v: rated voltage; None, as the next two, where it is not stated.
        least_v: least voltage that it works from.
        most_v: highest rated voltage; None also where there is no such limit.
        lacks: values that its part does not state, without which its limits are unknown.
    """

    ref: str
    part: str
    what: str
    plus: str
    minus: str
    switched: bool
    rated_v: float | None
    least_v: float | None
    most_v: float | None
    lacks: tuple[str, ...] = ()


def powered_devices(netlist: Netlist, parts: Mapping[str, PartBase]) -> tuple[PoweredDevice, ...]:
    """Every powered device but the locks and whatever takes its power off the PoE cable.

    Args:
        netlist: of the door.
        parts: the door's parts by id.
    """
    return tuple(device for c in netlist.components for device in _devices(c, parts.get(c.part)))


def _devices(component: Component, part: PartBase | None) -> Iterator[PoweredDevice]:
    ref = component.ref
    if isinstance(part, RexSensor) and part.is_powered:
        yield _device(component, part, "REX sensor", ("+", "-"), "rated_v")
    elif isinstance(part, Reader):
        yield _device(component, part, "reader", ("+", "-"), "rated_v")
    elif isinstance(part, Relay):
        yield _device(component, part, "relay module", ("V+", "V-"), "coil_v")
        if part.command == "voltage":
            yield _device(component, part, f"relay module, {_TRIGGER}", ("T+", "T-"), "trigger_v", switched=True)
    elif isinstance(part, Controller) and component.has(ElementRole.CONTROLLER_LOAD):
        yield _device(component, part, "controller, fed from outside", ("A+", "A-"), "feed_v")
    sense = next((e for e in component.elements if e.role == ElementRole.TRIGGER_INPUT), None)
    if sense is not None:
        # A lock's own supply: its trigger is driven closed from here on.
        pull_in_v = sense.values["v_pull_in_v"]
        title = component.title.replace(" own ", " ")
        what = f"{title[:1].lower()}{title[1:]}, {_TRIGGER}"
        yield PoweredDevice(ref, "", what, f"{ref}.{sense.a}", f"{ref}.{sense.b}", True, None, pull_in_v, None)


def _device(
    component: Component,
    part: RexSensor | Reader | Relay | Controller,
    what: str,
    ends: tuple[str, str],
    rated: str,
    *,
    switched: bool = False,
) -> PoweredDevice:
    names = (rated, "tolerance_low", "tolerance_high")
    rated_v, low, high = (getattr(part, name) for name in names)
    plus, minus = (f"{component.ref}.{end}" for end in ends)
    least_v = None if rated_v is None or low is None else rated_v * (1 - low)
    most_v = None if rated_v is None or high is None else rated_v * (1 + high)
    lacks = tuple(name for name in names if getattr(part, name) is None)
    return PoweredDevice(component.ref, part.id, what, plus, minus, switched, rated_v, least_v, most_v, lacks)


def lock_range_v(lock: Lock) -> tuple[float | None, float | None]:
    """Least and most voltage that a lock is made for; None where it is not stated."""
    if lock.rated_v is None:
        return None, None
    low, high = lock.tolerance_low, lock.tolerance_high
    return (
        None if low is None else lock.rated_v * (1 - low),
        None if high is None else lock.rated_v * (1 + high),
    )


class Feed(NamedTuple):
    """What a device hangs on: the source `component.element`, and the terminal that its wires come from."""

    source: str
    terminal: str


def feed_of_node(netlist: Netlist, node: str) -> Feed | None:
    """Where a device's plus really comes from, followed over its wires and the contacts between.

    Args:
        netlist: of the door.
        node: `component.terminal` of its plus.

    Returns:
        None when no source is at the other end.
    """
    seen, waiting = {node}, [node]
    elements = {c.ref: c.elements for c in netlist.components}
    wired: dict[str, list[str]] = {}
    for conductor in netlist.conductors:
        a, b = str(conductor.a), str(conductor.b)
        wired.setdefault(a, []).append(b)
        wired.setdefault(b, []).append(a)
    while waiting:
        at = waiting.pop(0)
        ref = at.partition(".")[0]
        beyond = list(wired.get(at, ()))
        for element in elements.get(ref, ()):
            ends = f"{ref}.{element.a}", f"{ref}.{element.b}"
            if element.kind is ElementKind.CONTACT and at in ends:
                beyond.append(ends[1] if ends[0] == at else ends[0])
            if element.kind is ElementKind.SOURCE and at == ends[0]:
                names = (f"{ref}.{t.name}" for t in netlist.component(ref).terminals)
                return Feed(f"{ref}.{element.name}", next((name for name in names if name in seen), ref))
        fresh = [n for n in beyond if n not in seen]
        seen.update(fresh)
        waiting += fresh
    return None
