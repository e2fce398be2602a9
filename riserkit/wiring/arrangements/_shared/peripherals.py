"""What hangs on a controller besides the lock: PoE cable, door contacts, REX or auxiliary contact, readers."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Terminal
from riserkit.wiring import parts
from riserkit.wiring.arrangement import enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder, lock_ref
from riserkit.wiring.arrangements._shared.leaf import leaf_transfer, rex_refs
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.places import contact_place, sensor_place
from riserkit.wiring.reason import Reason
from riserkit.wiring.roles import DeviceRole

_SPLICE = "X2"


def has_peripherals(need: DoorNeed) -> bool:
    """Anything at all on the inputs, the auxiliary output or the reader bus?"""
    auxiliary = need.opening.rex_aux_input == "auxiliary"
    contacts = bool(need.contact) or need.lands_lock_contact
    return contacts or bool(need.rex or need.reader_in or need.reader_out) or auxiliary


def screen_peripherals(need: DoorNeed) -> tuple[Reason, ...]:
    """Tests of the cables and terminals that the peripherals need."""
    reasons = []
    if need.rex is not None and need.opening.rex_aux_input == "rex":
        wires = 4 if need.rex.is_powered else 2
        reasons.append(enough_conductors("REX", need.cables["rex"].cable_type, wires))
        if need.rex.in_leaf:
            reasons.append(enough_conductors("REX, within the leaf", need.cables["rex_leaf"].cable_type, wires))
    if need.opening.rex_aux_input == "auxiliary":
        reasons.append(enough_conductors("auxiliary contact", need.cables["rex"].cable_type, 2))
    if need.opening.rex_aux_input == "auxiliary" and need.rex is not None:
        text = "the REX/AUX input is stated as auxiliary: no input is left for a REX sensor"
        reasons.append(Reason("second-input", False, text))
    if need.contact is not None:
        reasons.append(enough_conductors("door contact", need.cables["contact"].cable_type, 2))
    if need.lands_lock_contact:
        reasons.append(enough_conductors("lock's own contact", need.cables["lock_contact"].cable_type, 2))
    readers = [r for r in (need.reader_in, need.reader_out) if r is not None]
    if readers and need.controller is not None:
        bus = need.controller.reader_bus
        reasons.append(holds("reader-bus", bus, "the controller has a reader bus", "the controller has no reader bus"))
        reasons.append(enough_conductors("reader", need.cables["reader"].cable_type, 4))
    return tuple(reasons)


def land_data(builder: NetlistBuilder, need: DoorNeed, jack: str = "K1.J") -> None:
    """The port in the closet and the PoE cable to `jack`."""
    builder.add(parts.network_port(need.data_label, need.closet))
    builder.data("data", need.cables["data"], "N1.J", jack)


def land_peripherals(builder: NetlistBuilder, need: DoorNeed, *, sensor_fed: bool = False) -> None:
    """Everything on the inputs, the auxiliary output and the reader bus, each with a cable of its own.

    `sensor_fed`: the REX sensor takes its supply where the lock does, not from the controller.
    """
    outside = need.opening.controller_at == "unsecured"
    _door_circuit(builder, need, outside)
    if need.opening.rex_aux_input == "auxiliary":
        ref = builder.add(parts.auxiliary_contact())
        cable = builder.cable("rex", need.cables["rex"], exposed=outside)
        builder.wire(cable, "K1.REQ", f"{ref}.1")
        builder.wire(cable, "K1.IC", f"{ref}.2")
    for leaf, ref in enumerate(rex_refs(need), 1):
        _rex(builder, need, ref, leaf, outside, sensor_fed)
    for part, ref, exposed in ((need.reader_out, "B3", outside), (need.reader_in, "B5", True)):
        if part is not None:
            builder.add(parts.reader(part, ref, outside=ref == "B5"))
            cable = builder.cable("reader", need.cables["reader"], exposed=exposed)
            for ours, theirs in (("A+", "+"), ("A-", "-"), ("BUSA", "BUSA"), ("BUSB", "BUSB")):
                builder.wire(cable, f"K1.{ours}", f"{ref}.{theirs}")


def _door_circuit(builder: NetlistBuilder, need: DoorNeed, outside: bool) -> None:
    """Door contacts and locks' own contacts in series on the door input: any of them opens it. Each has its own cable."""
    chain: list[tuple[str, str]] = []
    if need.contact is not None:
        refs = ("B1", "B4")[: need.opening.contacts]
        chain += [
            ("contact", builder.add(parts.door_contact(need.contact, ref, contact_place(need.opening)))) for ref in refs
        ]
    if need.lands_lock_contact:
        chain += [("lock_contact", lock_ref(number)) for number in range(1, need.opening.lock_count + 1)]
    joints = tuple(Terminal(str(k)) for k in range(1, len(chain)))
    if len(rex_refs(need)) > 1:
        joints += (Terminal("REQ", "to the REX/AUX input"), Terminal("IC", "input return", "-"))
    if joints:
        builder.add(
            Component(
                _SPLICE,
                "Splice in controller box",
                joints,
                place="at the controller",
                role=DeviceRole.SPLICE,
                inside="K1",
            )
        )
    for k, (key, ref) in enumerate(chain):
        cable = builder.cable(key, need.cables[key], exposed=outside)
        builder.wire(cable, f"{_SPLICE}.{k}" if k else "K1.DOOR", f"{ref}.1")
        builder.wire(cable, f"{ref}.2", f"{_SPLICE}.{k + 1}" if k + 1 < len(chain) else "K1.IC")


def _rex(builder: NetlistBuilder, need: DoorNeed, ref: str, leaf: int, outside: bool, sensor_fed: bool) -> None:
    """The REX sensor on the REX/AUX input; where each leaf has one in its bar, both, side by side."""
    if need.rex is None:
        return
    builder.add(parts.rex_sensor(need.rex, ref, place=sensor_place(need.opening, need.rex), breaks=need.sensor_breaks))
    two = len(rex_refs(need)) > 1
    if two and leaf == 1:
        builder.lead("K1.REQ", f"{_SPLICE}.REQ", "", "both bars on one input")
        builder.lead("K1.IC", f"{_SPLICE}.IC", "")
    request, common = (f"{_SPLICE}.REQ", f"{_SPLICE}.IC") if two else ("K1.REQ", "K1.IC")
    cable = builder.cable("rex", need.cables["rex"], exposed=outside)
    hinge = leaf_transfer(builder, need, leaf) if need.rex.in_leaf else ""
    supply = (("K1.A+", "A+", "+"), ("K1.A-", "A-", "-")) if need.rex.is_powered and not sensor_fed else ()
    wires = (*supply, (request, "NO", "NO"), (common, "C", "C"))
    for ours, at_hinge, theirs in wires:
        builder.wire(cable, ours, f"{hinge}.{at_hinge}" if hinge else f"{ref}.{theirs}")
    if hinge:
        within = builder.cable("rex_leaf", need.cables["rex_leaf"])
        for _, at_hinge, theirs in wires:
            builder.wire(within, f"{hinge}.{at_hinge}", f"{ref}.{theirs}")
