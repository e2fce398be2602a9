"""Between which terminals of a door's circuit a voltage is: asked by role, answered with what is printed on the device."""

from __future__ import annotations

from riserkit.circuits.netlist import Landing, Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import DeviceRole, ElementRole

Ends = tuple[str, str]
_POWERED = (ElementRole.SENSOR_LOAD, ElementRole.SENSOR_RELAY, ElementRole.READER_LOAD)
_SPLICES = frozenset({DeviceRole.JUNCTION_BOX, DeviceRole.SPLICE})


def feed_ends(circuit: DoorCircuit) -> Ends:
    """The two terminals that lock power comes from, plus first: of the supply or splitter, else of the controller."""
    netlist = circuit.netlist
    if circuit.supply:
        return netlist.component(circuit.supply.partition(".")[0]).poles()
    for supply in netlist.devices(DeviceRole.OWN_SUPPLY):
        return supply.poles()
    return auxiliary_ends(netlist) if circuit.relay else output_ends(netlist)


def output_ends(netlist: Netlist) -> Ends:
    """The terminals of the controller's lock output, plus first."""
    return _end(netlist, ElementRole.LOCK_OUTPUT, 1), _end(netlist, ElementRole.LOCK_OUTPUT_RETURN, 0)


def auxiliary_ends(netlist: Netlist) -> Ends:
    """The terminals of the controller's auxiliary output, plus first; of its supply where it is fed there from outside."""
    for load in netlist.elements(ElementRole.CONTROLLER_LOAD):
        return netlist.ends(load)
    return _end(netlist, ElementRole.AUXILIARY_FEED, 1), _end(netlist, ElementRole.AUXILIARY_SUPPLY, 1)


def input_ends(netlist: Netlist, role: ElementRole) -> Ends:
    """The terminals of one of the controller's inputs, its return second."""
    return _end(netlist, role, 0), _end(netlist, role, 1)


def module_supply(netlist: Netlist, ref: str) -> Ends:
    """A relay module's supply: where its command takes the coil's current from, and where that returns."""
    component = netlist.component(ref)
    gate = next(e for e in component.elements if e.role in (ElementRole.MODULE_MESSAGE, ElementRole.MODULE_GATE))
    coil = next(e for e in component.elements if e.role == ElementRole.MODULE_COIL)
    return f"{ref}.{gate.a}", f"{ref}.{coil.b}"


def module_contacts(netlist: Netlist, ref: str) -> tuple[str, ...]:
    """`component.element` of a relay module's contacts, the normally open one first."""
    both = netlist.elements(ElementRole.MODULE_NO, ElementRole.MODULE_NC)
    return tuple(name for name in both if name.startswith(f"{ref}."))


def lock_contacts(circuit: DoorCircuit) -> tuple[str, ...]:
    """`component.element` of the contacts that switch the lock: of the relay module, else of the controller's dry output.

    The normally open one first; empty where a powered output switches it.
    """
    if circuit.relay:
        return module_contacts(circuit.netlist, circuit.relay)
    return circuit.netlist.elements(ElementRole.OUTPUT_NO, ElementRole.OUTPUT_NC)


def supply_to_common(circuit: DoorCircuit) -> tuple[Ends, ...]:
    """The terminals that a relay module may be delivered with a link between: its supply's plus and its common."""
    netlist, ref = circuit.netlist, circuit.relay
    return ((module_supply(netlist, ref)[0], netlist.ends(module_contacts(netlist, ref)[0])[0]),) if ref else ()


def powered_devices(netlist: Netlist) -> tuple[str, ...]:
    """Designations of sensors and readers that take a supply."""
    return tuple(dict.fromkeys(name.partition(".")[0] for name in netlist.elements(*_POWERED)))


def signal_pairs(netlist: Netlist) -> tuple[Ends, ...]:
    """Both ends of every conductor that carries data only: no element of the circuit is at either."""
    return tuple((str(c.a), str(c.b)) for c in netlist.conductors if _carries_data(netlist, (c.a, c.b)))


def _carries_data(netlist: Netlist, ends: tuple[Landing, Landing]) -> bool:
    for end in ends:
        component = netlist.component(end.component)
        if component.role in _SPLICES or any(end.terminal in (e.a, e.b) for e in component.elements):
            return False
    return True


def landed(netlist: Netlist, name: str) -> bool:
    """Whether a conductor lands at this terminal."""
    return any(name in (str(c.a), str(c.b)) for c in netlist.conductors)


def _end(netlist: Netlist, role: ElementRole, end: int) -> str:
    return next(netlist.ends(name)[end] for name in netlist.elements(role))
