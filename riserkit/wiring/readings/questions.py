"""Which measurements a door's circuit allows: between which terminals, in which state, in the order they are taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.ends import (
    Ends,
    auxiliary_ends,
    feed_ends,
    input_ends,
    landed,
    lock_contacts,
    module_supply,
    powered_devices,
    supply_to_common,
)
from riserkit.wiring.readings.meter import DIODE, LIFTED, OHMS, VOLTS, Lift, Measurement
from riserkit.wiring.roles import LOSSES, DeviceRole, ElementRole, StateRole

POWER_OFF: Final = "power off, batteries off"
IDLE: Final = "power on, door idle"
_MOTION: Final = "motion at {}"
_PRESSED: Final = "{} pressed"
DIFFERENCE: Final = "first less second of the two above"


@dataclass(frozen=True, slots=True)
class MeterQuestion:
    """One measurement to be computed.

    Args:
        what: what it shows.
        state: what to do first, in words.
        asked: where the meter goes and in which state.
        input_v: for a reading at an input, the volts that it shows while its circuit is open.
        meter: what the sheet says of the meter, where it is not simply its setting.
        free: what the sheet says of the free end of the wire that was lifted.
    """

    what: str
    state: str
    asked: Measurement
    input_v: float = 0.0
    meter: str = ""
    free: str = ""

    @property
    def leads(self) -> tuple[str, str]:
        """Where the red and the black lead go, as printed."""
        plus, minus = (self.free if name.startswith(LIFTED) else name for name in (self.asked.plus, self.asked.minus))
        return plus, minus


def questions(circuit: DoorCircuit) -> tuple[MeterQuestion, ...]:
    """Every measurement of a door, in the order in which an installer takes them: power off first."""
    return (
        *_suppression(circuit),
        *_lock_wires(circuit),
        *_contacts_dead(circuit),
        *_power(circuit),
        *_inputs(circuit),
        *_contacts_alive(circuit),
        *_lock(circuit),
        *_sensor_alone(circuit),
        *_releases(circuit),
    )


def _on(netlist: Netlist, *roles: StateRole) -> dict[str, bool]:
    return dict.fromkeys(netlist.states(*roles), True)


def _commands(circuit: DoorCircuit, state: State) -> str:
    """What the controller does in a state, in words."""
    return "controller locks" if dict(state) == dict(circuit.locked_state) else "controller releases"


def _suppression(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    """A diode with one lead off the lock, from the lock's minus: it conducts, and so its cathode goes to plus."""
    netlist = circuit.netlist
    for component in netlist.devices(DeviceRole.SUPPRESSOR):
        (element,) = component.elements
        for lock in circuit.locks:
            plus, minus = netlist.ends(circuit.coil(lock))
            if not any({component.ref, lock} == {c.a.component, c.b.component} for c in netlist.conductors):
                continue
            yield from _suppressor(component, element, (plus, minus))


def _suppressor(component: Component, element: Element, lock: Ends) -> Iterator[MeterQuestion]:
    plus, minus = lock
    if element.kind is ElementKind.DIODE:
        lift, free = (Lift(plus, component.ref),), f"{LIFTED}.1"
        state = f"{POWER_OFF}; lead of {component.ref} off {plus}"
        words = f"free lead of {component.ref}"
        forward = Measurement(DIODE, minus, free, lifts=lift, dead=True)
        yield MeterQuestion("diode, forward: banded end goes to lock +", state, forward, free=words)
        back = Measurement(DIODE, free, minus, lifts=lift, dead=True)
        yield MeterQuestion("diode, reverse", state, back, free=words)
        return
    for end, at in ((element.a, plus), (element.b, minus)):
        asked = Measurement(OHMS, f"{component.ref}.{end}", at, dead=True)
        yield MeterQuestion(f"suppressor {component.ref}, lead to the lock", POWER_OFF, asked)


def _lock_wires(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    """Each lock's plus and minus from end to end, before power: exchanged, a diode across the lock would be destroyed."""
    netlist = circuit.netlist
    for lock in circuit.locks:
        for sign, end in zip("+-", netlist.ends(circuit.coil(lock)), strict=True):
            for conductor in netlist.conductors:
                if conductor.cable and end in (str(conductor.a), str(conductor.b)):
                    far = str(conductor.a if str(conductor.b) == end else conductor.b)
                    asked = Measurement(OHMS, far, end, dead=True)
                    yield MeterQuestion(f"lock {lock}, {sign} wire", POWER_OFF, asked)


def _contacts_dead(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    """The contacts that switch the lock, at rest, and a link that a module may have been delivered with.

    The lock's wire is off the contact used.
    """
    netlist, contacts = circuit.netlist, lock_contacts(circuit)
    if not contacts:
        return
    lift, words = _lock_wire(circuit)
    outside = _on(netlist, *LOSSES)
    for name in contacts:
        asked = Measurement(OHMS, *netlist.ends(name), outside, lifts=lift, dead=True)
        yield MeterQuestion(_contact_words(netlist, name), f"{POWER_OFF}; {words}", asked)
    for ends in supply_to_common(circuit):
        asked = Measurement(OHMS, *ends, outside, lifts=lift, dead=True)
        yield MeterQuestion(f"supply-to-common link of {circuit.relay}", f"{POWER_OFF}; {words}", asked)


def _contacts_alive(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    netlist, contacts = circuit.netlist, lock_contacts(circuit)
    if not contacts:
        return
    lift, words = _lock_wire(circuit)
    told: dict[str, bool] = {circuit.command: True}
    for name in contacts:
        asked = Measurement(OHMS, *netlist.ends(name), told, lifts=lift)
        state = f"relay energised, {_commands(circuit, told)}; {words}"
        yield MeterQuestion(_contact_words(netlist, name), state, asked)
    for name in netlist.elements(ElementRole.MODULE_TRIGGER):
        for on in (True, False):
            commanded = {circuit.command: on}
            asked = Measurement(VOLTS, *netlist.ends(name), commanded)
            yield MeterQuestion(f"trigger of {name.partition('.')[0]}", _commands(circuit, commanded), asked)


def _lock_wire(circuit: DoorCircuit) -> tuple[tuple[Lift, ...], str]:
    """The wire on the contact that is used, taken off so that nothing but the contact is measured."""
    netlist = circuit.netlist
    ends = (netlist.ends(name)[1] for name in lock_contacts(circuit))
    used = next(end for end in ends if landed(netlist, end))
    return (Lift(used),), f"wire off {used}"


def _contact_words(netlist: Netlist, name: str) -> str:
    element, ref = netlist.element(name), name.partition(".")[0]
    whose = "controller's" if netlist.component(ref).role == DeviceRole.CONTROLLER else "module"
    return f"{whose} contact {element.a} to {element.b}"


def _power(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    netlist = circuit.netlist
    pairs: list[tuple[str, Ends]] = []
    if netlist.devices(DeviceRole.CONTROLLER):
        fed = bool(netlist.elements(ElementRole.CONTROLLER_LOAD))
        pairs.append(("supply of the controller" if fed else "auxiliary output", auxiliary_ends(netlist)))
    if circuit.relay:
        pairs.append(("supply of the module", module_supply(netlist, circuit.relay)))
    pairs += [(f"supply of {ref}", netlist.component(ref).poles()) for ref in powered_devices(netlist)]
    if circuit.lock_source not in (circuit.output, circuit.auxiliary):
        pairs.append(("where lock power comes from", feed_ends(circuit)))
    for what, ends in pairs:
        state = IDLE if _from_controller(netlist, ends[0]) else _with_mains(circuit, IDLE)
        yield MeterQuestion(what, state, Measurement(VOLTS, *ends, {**circuit.locked_state}))


def _from_controller(netlist: Netlist, terminal: str) -> bool:
    """Whether a terminal is the controller's, or a wire comes to it from there."""
    beside = {terminal} | {
        str(end) for c in netlist.conductors if terminal in (str(c.a), str(c.b)) for end in (c.a, c.b)
    }
    return any(netlist.component(end.partition(".")[0]).role == DeviceRole.CONTROLLER for end in beside)


def _with_mains(circuit: DoorCircuit, state: str) -> str:
    """A state in which a battery, where there is one, floats."""
    return f"{state}; mains on, battery charged" if circuit.netlist.states(StateRole.BATTERY_LOST) else state


def _inputs(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    netlist = circuit.netlist
    if not netlist.devices(DeviceRole.CONTROLLER):
        return
    input_v = next(netlist.element(name).values["v_nominal_v"] for name in netlist.elements(ElementRole.DOOR_INPUT))
    for question in (*_door_input(circuit), *_request_input(circuit)):
        yield replace(question, input_v=input_v)


def _door_input(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    netlist, idle = circuit.netlist, {**circuit.locked_state}
    ends = input_ends(netlist, ElementRole.DOOR_INPUT)
    if not landed(netlist, ends[0]):
        return
    yield MeterQuestion("door input", "door closed", Measurement(VOLTS, *ends, idle))
    leaves = netlist.states(StateRole.DOOR_OPEN)
    for name in leaves:
        leaf = name.partition(".")[0]
        which = "door open" if len(leaves) == 1 else f"leaf of {leaf} open, the other closed"
        yield MeterQuestion("door input", which, Measurement(VOLTS, *ends, {**idle, name: True}))
    if _own_contacts(circuit):
        released = {**idle, circuit.command: not idle[circuit.command]}
        state = f"{_commands(circuit, released)}, door kept closed"
        yield MeterQuestion("door input", state, Measurement(VOLTS, *ends, released))


def _own_contacts(circuit: DoorCircuit) -> tuple[str, ...]:
    """Contacts of locks that open with the lock's release."""
    netlist = circuit.netlist
    coils = {circuit.coil(ref) for ref in circuit.locks}
    names = netlist.elements(ElementRole.LATCH_CONTACT, ElementRole.BOND_CONTACT)
    return tuple(name for name in names if netlist.element(name).control in coils)


def _request_input(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    netlist, idle = circuit.netlist, {**circuit.locked_state}
    ends = input_ends(netlist, ElementRole.REQUEST_INPUT)
    if not landed(netlist, ends[0]):
        return
    yield MeterQuestion("REX/AUX input", "idle, nobody near", Measurement(VOLTS, *ends, idle))
    released = {**idle, circuit.command: not idle[circuit.command]} if circuit.command in idle else {}
    if released:
        asked = Measurement(VOLTS, *ends, released)
        yield MeterQuestion("REX/AUX input", f"{_commands(circuit, released)}, nobody near", asked)
    for name, words in _requests(netlist):
        yield MeterQuestion("REX/AUX input", words, Measurement(VOLTS, *ends, {**idle, name: True}))
    for lift, words in _sensor_supplies(netlist):
        yield MeterQuestion("REX/AUX input", f"{words}; nobody near", Measurement(VOLTS, *ends, idle, lifts=(lift,)))


def _requests(netlist: Netlist) -> Iterator[tuple[str, str]]:
    """What is done at the devices on the REX/AUX input, and in which words."""
    acts = {
        StateRole.MOTION: _MOTION, StateRole.AUXILIARY_ACTIVE: "contact of {} active",
        StateRole.RELEASE_PRESSED: _PRESSED,
    }  # fmt: skip
    signals = netlist.elements(ElementRole.RELEASE_SIGNAL)
    telling = {name.partition(".")[0] for name in signals if landed(netlist, netlist.ends(name)[0])}
    for role, words in acts.items():
        for name in netlist.states(role):
            ref = name.partition(".")[0]
            if role is not StateRole.RELEASE_PRESSED or ref in telling:
                pressed = role is StateRole.MOTION and _is_switch(netlist, ref)
                yield name, (_PRESSED if pressed else words).format(ref)


def _is_switch(netlist: Netlist, ref: str) -> bool:
    """Whether a REX device is an exit switch: a contact alone, with nothing inside that could see anybody."""
    return all(element.role == ElementRole.SENSOR_CONTACT for element in netlist.component(ref).elements)


def _sensor_supplies(netlist: Netlist) -> Iterator[tuple[Lift, str]]:
    """The supply taken off a REX sensor that a coil inside holds at rest."""
    for ref in powered_devices(netlist):
        if netlist.component(ref).role == DeviceRole.REX_SENSOR:
            plus = netlist.component(ref).poles()[0]
            yield Lift(plus), f"supply wire off {plus}"


def _lock(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    plus, minus = feed_ends(circuit)
    on, off = {**circuit.powered}, {**circuit.commanded}
    energised = _with_mains(circuit, f"{_commands(circuit, on)}, lock energised")
    yield MeterQuestion("where lock power comes from", energised, Measurement(VOLTS, plus, minus, on))
    for ref in circuit.locks:
        ends = circuit.netlist.ends(circuit.coil(ref))
        yield MeterQuestion(f"lock {ref}, far end", energised, Measurement(VOLTS, *ends, on))
        drop = Measurement(VOLTS, plus, minus, on, less=ends)
        yield MeterQuestion(f"voltage drop to {ref}", energised, drop, meter=DIFFERENCE)
        state = f"{_commands(circuit, off)}, lock not energised"
        yield MeterQuestion(f"lock {ref}", state, Measurement(VOLTS, *ends, off))


def _sensor_alone(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    """What a REX sensor's own pole in the lock's feed does, with its wire to the controller taken off."""
    netlist = circuit.netlist
    if not netlist.elements(ElementRole.SENSOR_POLE):
        return
    request = input_ends(netlist, ElementRole.REQUEST_INPUT)[0]
    away, first = Lift(request), f"{_commands(circuit, circuit.powered)}; wires off {request}"
    moved: list[tuple[str, dict[str, bool], tuple[Lift, ...]]] = []
    for name in netlist.states(StateRole.MOTION):
        moved.append((f"{first}; {_MOTION.format(name.partition('.')[0])}", {name: True}, (away,)))
    moved += [(f"{first}; {words}", {}, (away, lift)) for lift, words in _sensor_supplies(netlist)]
    for words, outside, lifts in moved:
        for ref in circuit.locks:
            ends = netlist.ends(circuit.coil(ref))
            yield MeterQuestion(
                f"lock {ref}", words, Measurement(VOLTS, *ends, {**circuit.powered, **outside}, lifts=lifts)
            )


def _releases(circuit: DoorCircuit) -> Iterator[MeterQuestion]:
    """Acts that move the lock whatever the controller wants, taken with the lock energised."""
    netlist = circuit.netlist
    battery = bool(netlist.states(StateRole.BATTERY_LOST))
    mains = "supply's mains off, on battery" if battery else "supply's mains off"
    acts: list[tuple[str, tuple[StateRole, ...]]] = [
        *((f"manual release {c.ref} pressed", (StateRole.RELEASE_PRESSED,))
          for c in netlist.devices(DeviceRole.MANUAL_RELEASE)),
        *((f"fire alarm relay {c.ref} in alarm", (StateRole.FIRE_ALARM,)) for c in netlist.devices(DeviceRole.FIRE_RELAY)),
        ("PoE cable unplugged in the closet", (StateRole.NETWORK_POWER_LOST,)),
        (mains, (StateRole.MAINS_LOST,)),
        ("supply's mains off, battery off", (StateRole.MAINS_LOST, StateRole.BATTERY_LOST)),
    ]  # fmt: skip
    moving = {e.control for c in netlist.components for e in c.elements}
    for words, roles in acts:
        if not all(moving & set(netlist.states(role)) for role in roles):
            continue
        outside = {**circuit.powered, **_on(netlist, *roles)}
        on_battery = roles == (StateRole.MAINS_LOST,) and battery
        for ref in circuit.locks:
            ends = netlist.ends(circuit.coil(ref))
            asked = Measurement(VOLTS, *ends, outside, on_battery=on_battery)
            yield MeterQuestion(f"lock {ref}", f"was energised; {words}", asked)
