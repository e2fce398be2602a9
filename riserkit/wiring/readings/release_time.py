"""How long a lock holds on after its power is broken, with its suppressor, and what a plain diode would make of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from riserkit.circuits.netlist import Component, Element, ElementKind, Landing, Netlist
from riserkit.circuits.transient import release_time_s
from riserkit.standards.door_devices import DIODE_FORWARD_V
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.values import DoorVoltages

_SUPPRESSORS: Final = (ElementKind.DIODE, ElementKind.SUPPRESSOR)


@dataclass(frozen=True, slots=True)
class ReleaseTime:
    """One lock's release, from its highest current down to where it drops out.

    Args:
        lock: its designation.
        suppressor: designation of what takes up its kick; empty when that is not in the door's circuit.
        own_s: time with that suppressor; None when something is not known.
        diode_s: time with a plain diode instead; None when something is not known.
        note: the sentence for the sheet.
    """

    lock: str
    suppressor: str
    own_s: float | None
    diode_s: float | None
    note: str


def release_times(circuit: DoorCircuit, volts: DoorVoltages) -> tuple[ReleaseTime, ...]:
    """The release of every lock of a door.

    The current starts where the highest voltage at the lock puts it, which takes longest to fall. Residual magnetism and
    the armature's own motion come on top and are not counted.

    Args:
        circuit: the door's wiring.
        volts: its solved voltages.
    """
    return tuple(_release(circuit.netlist, ref, volts) for ref in circuit.locks)


def _release(netlist: Netlist, ref: str, volts: DoorVoltages) -> ReleaseTime:
    coil = next((e for e in netlist.component(ref).elements if e.kind is ElementKind.COIL), None)
    found = next(suppressors_of(netlist, ref), None)
    name = found[0].ref if found else ""
    l_h = coil.values.get("l_h") if coil else None
    if coil is None or l_h is None:
        return _unknown(ref, name, "its inductance is not stated")
    if volts.lock_high_v is None or not coil.values.get("v_drop_out_v"):
        return _unknown(ref, name, "its current or the voltage at which it drops out is not known")
    r_ohm = coil.values.get("r_hold_ohm", coil.values["r_ohm"])
    if volts.lock_high_v < coil.values["v_drop_out_v"]:
        # As built with a wire off, or with the wrong polarity.
        return _unknown(ref, name, "it is never energised")
    i0_a, i_release_a = volts.lock_high_v / r_ohm, coil.values["v_drop_out_v"] / r_ohm
    diode_s = release_time_s(l_h, r_ohm, i0_a, i_release_a, DIODE_FORWARD_V.value)
    if found is None:
        note = f"{ref}: suppression is inside the lock or its supply; its release time is on their data sheet."
        return ReleaseTime(ref, "", None, diode_s, note)
    own_s = release_time_s(l_h, r_ohm, i0_a, i_release_a, _clamp_v(found[1]))
    return ReleaseTime(ref, name, own_s, diode_s, _note(ref, found, own_s, diode_s))


def suppressors_of(netlist: Netlist, lock: str) -> Iterator[tuple[Component, Element]]:
    """What is across a lock's own terminals."""
    beside = {
        (c.a if c.b.component == lock else c.b).component
        for terminal in netlist.component(lock).terminals
        for c in netlist.at(Landing(lock, terminal.name))
    }
    for component in netlist.components:
        for element in component.elements if component.ref in beside else ():
            if element.kind in _SUPPRESSORS:
                yield component, element


def _clamp_v(element: Element) -> float:
    return element.values["v_forward_v" if element.kind is ElementKind.DIODE else "v_clamp_v"]


def _unknown(lock: str, suppressor: str, why: str) -> ReleaseTime:
    return ReleaseTime(lock, suppressor, None, None, f"{lock}: release time not computed, {why}.")


def _note(lock: str, found: tuple[Component, Element], own_s: float, diode_s: float) -> str:
    component, element = found
    own = f"{lock} drops out {_ms(own_s)} after its power is broken"
    if element.kind is ElementKind.DIODE:
        return f"{own} (diode {component.ref}); residual magnetism not counted."
    clamp = f"{component.ref} clamps at {element.values['v_clamp_v']:g} V"
    longer = _ms(diode_s - own_s)
    return f"{own} ({clamp}); a plain diode would hold it {longer} longer; residual magnetism not counted."


def _ms(seconds: float) -> str:
    """Milliseconds to two significant digits below ten, whole above."""
    ms = 1000.0 * seconds
    return f"{ms:.2g} ms" if ms < 10 else f"{ms:.0f} ms"
