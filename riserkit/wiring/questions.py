"""Which measurements a door's circuit allows: between which terminals, in which state."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.netlist import Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import LOSSES, DeviceRole, ElementRole, StateRole

VOLTS: Final = "volts DC"
OHMS: Final = "ohms"
POWER_OFF: Final = "power off"


@dataclass(frozen=True, slots=True)
class Question:
    """One measurement to be computed.

    Args:
        what: what it shows.
        meter: `VOLTS` or `OHMS`.
        plus, minus: terminals.
        state: what to do first, in words.
        outside: the same as outside states; those that the circuit lacks are left out.
        less: two terminals whose voltage is to be taken off; empty for a plain reading.
        contact: for ohms, the contact between the terminals.
        input_v: for a reading at an input, the volts that it shows while its circuit is open.
    """

    what: str
    meter: str
    plus: str
    minus: str
    state: str
    outside: State
    less: tuple[str, ...] = ()
    contact: str = ""
    input_v: float = 0.0


def questions(circuit: DoorCircuit) -> tuple[Question, ...]:
    """Every measurement of a door, in the order in which an installer takes them."""
    return (*_relay(circuit), *_power(circuit), *_inputs(circuit), *_lock(circuit), *_releases(circuit))


def feed_ends(circuit: DoorCircuit) -> tuple[str, str]:
    """The two terminals that lock power comes from, plus first: of the supply or splitter, else of the controller."""
    netlist = circuit.netlist
    if circuit.supply:
        return netlist.component(circuit.supply.partition(".")[0]).poles()
    for supply in netlist.devices(DeviceRole.OWN_SUPPLY):
        return supply.poles()
    return auxiliary_ends(netlist) if circuit.relay else output_ends(netlist)


def output_ends(netlist: Netlist) -> tuple[str, str]:
    """The terminals of the controller's lock output, plus first."""
    return _end(netlist, ElementRole.LOCK_OUTPUT, 1), _end(netlist, ElementRole.LOCK_OUTPUT_RETURN, 0)


def auxiliary_ends(netlist: Netlist) -> tuple[str, str]:
    """The terminals of the controller's auxiliary output, plus first; of its supply where it is fed there from outside."""
    for load in netlist.elements(ElementRole.CONTROLLER_LOAD):
        return netlist.ends(load)
    return _end(netlist, ElementRole.AUXILIARY_FEED, 1), _end(netlist, ElementRole.LOCK_OUTPUT_RETURN, 1)


def input_ends(netlist: Netlist, role: ElementRole) -> tuple[str, str]:
    """The terminals of one of the controller's inputs, its return second."""
    return _end(netlist, role, 0), _end(netlist, role, 1)


def _end(netlist: Netlist, role: ElementRole, end: int) -> str:
    return next(netlist.ends(name)[end] for name in netlist.elements(role))


def _landed(netlist: Netlist, name: str) -> bool:
    return any(name in (str(c.a), str(c.b)) for c in netlist.conductors)


def _on(netlist: Netlist, *roles: StateRole) -> dict[str, bool]:
    return dict.fromkeys(netlist.states(*roles), True)


def _relay(circuit: DoorCircuit) -> Iterator[Question]:
    if not circuit.relay:
        return
    ref, netlist = circuit.relay, circuit.netlist
    contacts = [n for n in netlist.elements(ElementRole.MODULE_NO, ElementRole.MODULE_NC) if n.startswith(f"{ref}.")]
    for told in (False, True):
        for contact in contacts:
            common, end = netlist.ends(contact)
            words = f"power on, module told, wire off {common}" if told else f"{POWER_OFF}, wire off {common}"
            outside = _on(netlist, StateRole.COMMAND) if told else _on(netlist, *LOSSES)
            what = f"module contact {netlist.element(contact).a} to {netlist.element(contact).b}"
            yield Question(what, OHMS, common, end, words, outside, contact=contact)


def _power(circuit: DoorCircuit) -> Iterator[Question]:
    netlist = circuit.netlist
    pairs = []
    if netlist.devices(DeviceRole.CONTROLLER):
        pairs.append(("auxiliary output", auxiliary_ends(netlist)))
    if circuit.relay:
        pairs.append(("supply of the module", _module_supply(netlist, circuit.relay)))
    fed = netlist.elements(ElementRole.SENSOR_LOAD, ElementRole.SENSOR_RELAY, ElementRole.READER_LOAD)
    for ref in dict.fromkeys(name.partition(".")[0] for name in fed):
        pairs.append((f"supply of {ref}", netlist.component(ref).poles()))
    for what, (plus, minus) in pairs:
        yield Question(what, VOLTS, plus, minus, "power on, door idle", {**circuit.commanded})


def _module_supply(netlist: Netlist, ref: str) -> tuple[str, str]:
    """Its supply: where the contact that its command closes takes the coil's current from, and where that returns."""
    component = netlist.component(ref)
    gate = next(e for e in component.elements if e.role in (ElementRole.MODULE_MESSAGE, ElementRole.MODULE_GATE))
    coil = next(e for e in component.elements if e.role == ElementRole.MODULE_COIL)
    return f"{ref}.{gate.a}", f"{ref}.{coil.b}"


def _inputs(circuit: DoorCircuit) -> Iterator[Question]:
    for question in _at_inputs(circuit):
        yield replace(question, input_v=_input_v(circuit.netlist))


def _input_v(netlist: Netlist) -> float:
    return next(netlist.element(name).values["v_nominal_v"] for name in netlist.elements(ElementRole.DOOR_INPUT))


def _at_inputs(circuit: DoorCircuit) -> Iterator[Question]:
    netlist = circuit.netlist
    if not netlist.devices(DeviceRole.CONTROLLER):
        return
    idle = {**circuit.commanded}
    door, back = input_ends(netlist, ElementRole.DOOR_INPUT)
    if _landed(netlist, door):
        yield Question("door input", VOLTS, door, back, "door closed", idle)
        leaves = netlist.states(StateRole.DOOR_OPEN)
        for name in leaves:
            leaf = name.partition(".")[0]
            which = "door open" if len(leaves) == 1 else f"leaf of {leaf} open, the other closed"
            yield Question("door input", VOLTS, door, back, which, {**idle, name: True})
    request, back = input_ends(netlist, ElementRole.REQUEST_INPUT)
    if not _landed(netlist, request):
        return
    yield Question("second input", VOLTS, request, back, "idle", idle)
    for name, words in _requests(netlist):
        yield Question("second input", VOLTS, request, back, words, {**idle, name: True})


def _requests(netlist: Netlist) -> Iterator[tuple[str, str]]:
    """What is done at the devices on the second input, and in which words."""
    acts = {
        StateRole.MOTION: "motion at {}", StateRole.AUXILIARY_ACTIVE: "contact of {} active",
        StateRole.RELEASE_PRESSED: "{} pressed",
    }  # fmt: skip
    signals = {ref.partition(".")[0] for ref in netlist.elements(ElementRole.RELEASE_SIGNAL) if _wired(netlist, ref)}
    for role, words in acts.items():
        for name in netlist.states(role):
            ref = name.partition(".")[0]
            if role is not StateRole.RELEASE_PRESSED or ref in signals:
                yield name, words.format(ref)


def _wired(netlist: Netlist, element: str) -> bool:
    return _landed(netlist, netlist.ends(element)[0])


def _lock(circuit: DoorCircuit) -> Iterator[Question]:
    plus, minus = feed_ends(circuit)
    on, off = {**circuit.powered}, {**circuit.commanded}
    yield Question("where lock power comes from", VOLTS, plus, minus, "lock energised", on)
    for ref in circuit.locks:
        ends = circuit.netlist.ends(circuit.coil(ref))
        yield Question(f"lock {ref}, far end", VOLTS, *ends, "lock energised", on)
        yield Question(f"lost on the way to {ref}", VOLTS, plus, minus, "lock energised", on, ends)
        yield Question(f"lock {ref}", VOLTS, *ends, "lock not energised", off)


def _releases(circuit: DoorCircuit) -> Iterator[Question]:
    """Acts that move the lock whatever the controller wants, taken with the lock energised."""
    netlist = circuit.netlist
    battery = bool(netlist.states(StateRole.BATTERY_LOST))
    mains = "supply's mains off, battery connected" if battery else "supply's mains off"
    acts: list[tuple[str, tuple[StateRole, ...]]] = [
        *((f"manual release {c.ref} pressed", (StateRole.RELEASE_PRESSED,))
          for c in netlist.devices(DeviceRole.MANUAL_RELEASE)),
        ("fire alarm relay in alarm", (StateRole.FIRE_ALARM,)),
        ("data cable unplugged in the closet", (StateRole.NETWORK_POWER_LOST,)),
        (mains, (StateRole.MAINS_LOST,)),
        ("supply's mains off, battery off", (StateRole.MAINS_LOST, StateRole.BATTERY_LOST)),
    ]  # fmt: skip
    moving = {e.control for c in netlist.components for e in c.elements}
    for words, roles in acts:
        if not all(moving & set(netlist.states(role)) for role in roles):
            continue
        for ref in circuit.locks:
            plus, minus = netlist.ends(circuit.coil(ref))
            outside = {**circuit.powered, **_on(netlist, *roles)}
            yield Question(f"lock {ref}", VOLTS, plus, minus, f"was energised; {words}", outside)
