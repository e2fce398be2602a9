"""Which measurements a door's circuit allows: between which terminals, in which state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.netlist import Netlist
from riserkit.wiring.arrangement import DoorCircuit

VOLTS: Final = "volts DC"
OHMS: Final = "ohms"
POWER_OFF: Final = "power off"
_ALL_OFF: Final[State] = {"N1.power_lost": True, "G1.mains_lost": True, "G1.battery_lost": True}


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
    """The two terminals that lock power comes from: of the supply or splitter, else of the controller."""
    if circuit.supply:
        ref = circuit.supply.partition(".")[0]
        terminals = circuit.netlist.component(ref).terminals
        plus, minus = (next(t.name for t in terminals if t.polarity == p) for p in ("+", "-"))
        return f"{ref}.{plus}", f"{ref}.{minus}"
    if _has(circuit.netlist, "G1.O+"):
        return "G1.O+", "G1.O-"
    return ("K1.A+", "K1.A-") if circuit.relay else ("K1.L+", "K1.L-")


def _has(netlist: Netlist, *names: str) -> bool:
    terminals = {f"{c.ref}.{t.name}" for c in netlist.components for t in c.terminals}
    return terminals.issuperset(names)


def _landed(netlist: Netlist, name: str) -> bool:
    return any(name in (str(c.a), str(c.b)) for c in netlist.conductors)


def _refs(netlist: Netlist) -> set[str]:
    return {component.ref for component in netlist.components}


def _relay(circuit: DoorCircuit) -> Iterator[Question]:
    if not circuit.relay:
        return
    ref = circuit.relay
    states: tuple[tuple[str, Mapping[str, bool]], ...] = (
        (f"{POWER_OFF}, wire off {ref}.C", _ALL_OFF),
        (f"power on, module told, wire off {ref}.C", {"K1.output": True}),
    )
    for words, outside in states:
        for name, contact in (("NO", "no"), ("NC", "nc")):
            yield Question(
                f"module contact C to {name}", OHMS, f"{ref}.C", f"{ref}.{name}", words, outside,
                contact=f"{ref}.{contact}",
            )  # fmt: skip


def _power(circuit: DoorCircuit) -> Iterator[Question]:
    pairs = [("auxiliary output", "K1.A+", "K1.A-")]
    if circuit.relay:
        pairs.append(("supply of the module", f"{circuit.relay}.V+", f"{circuit.relay}.V-"))
    pairs += [(f"supply of {ref}", f"{ref}.+", f"{ref}.-") for ref in ("B2", "B3", "B5")]
    for what, plus, minus in pairs:
        if _has(circuit.netlist, plus, minus):
            yield Question(what, VOLTS, plus, minus, "power on, door idle", {**circuit.commanded})


def _inputs(circuit: DoorCircuit) -> Iterator[Question]:
    for question in _at_inputs(circuit):
        yield replace(question, input_v=_input_v(circuit.netlist))


def _input_v(netlist: Netlist) -> float:
    return next(e.values["v_nominal_v"] for e in netlist.component("K1").elements if e.name == "input_d")


def _at_inputs(circuit: DoorCircuit) -> Iterator[Question]:
    netlist, refs = circuit.netlist, _refs(circuit.netlist)
    idle = {**circuit.commanded}
    if _landed(netlist, "K1.D"):
        yield Question("door input", VOLTS, "K1.D", "K1.IC", "door closed", idle)
        for ref in ("B1", "B4"):
            if ref in refs:
                which = "door open" if "B4" not in refs else f"leaf of {ref} open, the other closed"
                yield Question("door input", VOLTS, "K1.D", "K1.IC", which, {**idle, f"{ref}.open": True})
    if not _landed(netlist, "K1.R"):
        return
    yield Question("second input", VOLTS, "K1.R", "K1.IC", "idle", idle)
    moved = {"motion at B2": "B2.motion", "contact of B2 active": "B2.active", "S1 pressed": "S1.pressed"}
    names = {e.control for c in netlist.components for e in c.elements}
    for words, name in moved.items():
        tells = name != "S1.pressed" or _landed(netlist, "S1.23")
        if name in names and tells:
            yield Question("second input", VOLTS, "K1.R", "K1.IC", words, {**idle, name: True})


def _lock(circuit: DoorCircuit) -> Iterator[Question]:
    plus, minus = feed_ends(circuit)
    on, off = {**circuit.powered}, {**circuit.commanded}
    yield Question("where lock power comes from", VOLTS, plus, minus, "lock energised", on)
    for ref in circuit.locks:
        ends = (f"{ref}.+", f"{ref}.-")
        yield Question(f"lock {ref}, far end", VOLTS, *ends, "lock energised", on)
        yield Question(f"lost on the way to {ref}", VOLTS, plus, minus, "lock energised", on, ends)
        yield Question(f"lock {ref}", VOLTS, *ends, "lock not energised", off)


def _releases(circuit: DoorCircuit) -> Iterator[Question]:
    """Acts that move the lock whatever the controller wants, taken with the lock energised."""
    netlist = circuit.netlist
    names = {e.control for c in netlist.components for e in c.elements}
    acts = (
        ("manual release S1 pressed", ("S1.pressed",)),
        ("fire alarm relay in alarm", ("K3.alarm",)),
        ("data cable unplugged in the closet", ("N1.power_lost",)),
        ("supply's mains off, battery connected", ("G1.mains_lost",)),
        ("supply's mains off, battery off", ("G1.mains_lost", "G1.battery_lost")),
    )
    for words, moved in acts:
        if not names.issuperset(moved):
            continue
        shown = words if "G1.battery_lost" in names else words.replace(", battery connected", "")
        for ref in circuit.locks:
            outside = {**circuit.powered, **dict.fromkeys(moved, True)}
            yield Question(f"lock {ref}", VOLTS, f"{ref}.+", f"{ref}.-", f"was energised; {shown}", outside)
