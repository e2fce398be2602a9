"""Netlists of doors made by hand for the drawing tests: small, invented, of each kind of arrangement."""

from __future__ import annotations

from riserkit.circuits.netlist import (
    Cable,
    Component,
    Conductor,
    Element,
    ElementKind,
    Landing,
    Netlist,
    Spare,
    Terminal,
)
from riserkit.wiring.roles import ElementRole

COLOURS = ("BK", "WH", "RD", "GN", "BN", "BU", "OG", "YE")


class Circuit:
    """Collects components, cables and conductors in the order they are named."""

    def __init__(self) -> None:
        self.components: list[Component] = []
        self.cables: list[Cable] = []
        self.conductors: list[Conductor] = []
        self.used: dict[str, int] = {}

    def device(self, ref: str, title: str, terminals: str, *elements: Element, place: str = "", exposed: bool = False):
        named = tuple(Terminal(t, "", t[-1] if t[-1] in "+-" else "") for t in terminals.split())
        self.components.append(Component(ref, title, named, elements, place=place, exposed=exposed))

    def cable(self, size: int, gauge: str, *wires: str, length_m: float = 8.0, exposed: bool = False) -> None:
        ref = f"W{len(self.cables) + 1}"
        self.cables.append(
            Cable(ref, f"{gauge[:2]}-{size}", length_m, "estimated", COLOURS[:size], gauge, exposed=exposed)
        )
        for n, wire in enumerate(wires):
            self._conductor(wire, COLOURS[n], gauge, ref)
        self.used[ref] = len(wires)

    def data(self, wire: str, length_m: float = 54.0) -> None:
        ref = f"W{len(self.cables) + 1}"
        self.cables.append(Cable(ref, "cat6", length_m, "routed", COLOURS, "23 AWG"))
        self._conductor(wire, "4PR", "23 AWG", ref)
        self.used[ref] = 8

    def lead(self, wire: str, colour: str = "", note: str = "") -> None:
        self._conductor(wire, colour, "22 AWG", "", note)

    def _conductor(self, wire: str, colour: str, gauge: str, cable: str, note: str = "") -> None:
        a, b = (Landing(*end.split(".")) for end in wire.split(" > "))
        self.conductors.append(Conductor(str(len(self.conductors) + 1), a, b, colour, gauge, 0.1, cable, note))

    def netlist(self) -> Netlist:
        spares = tuple(Spare(c.ref, colour) for c in self.cables for colour in c.colours[self.used[c.ref] :])
        return Netlist(tuple(self.components), tuple(self.cables), tuple(self.conductors), spares, "K1.IC")


def contact(name: str, a: str, b: str, control: str = "", *, closed: bool = False, role: str = "") -> Element:
    return Element(name, ElementKind.CONTACT, a, b, {"r_closed_ohm": 0.05}, control, closed, role)


def coil(name: str, a: str, b: str) -> Element:
    return Element(name, ElementKind.COIL, a, b, {"r_ohm": 40.0})


def source(name: str, a: str, b: str, r_ohm: float = 0.02) -> Element:
    return Element(
        name, ElementKind.SOURCE, a, b, {"v_nominal_v": 12.0, "v_low_v": 11.4, "v_high_v": 12.6, "r_ohm": r_ohm}
    )


def port(c: Circuit) -> None:
    c.device("N1", "Port 1A-A07", "J", place="closet 1A")


def controller(c: Circuit, *, extra: str = "", fed: bool = True) -> None:
    elements = [source("input_d", "D", "IC", 4700.0), source("input_r", "R", "IC", 4700.0)]
    if fed:
        elements += [
            source("lock_rail", "_lock", "L-"),
            contact("lock_feed", "_lock", "_switch", "N1.power_lost", closed=True, role=ElementRole.LOCK_OUTPUT_FEED),
            contact("output", "_switch", "L+", "K1.output"),
            source("auxiliary_rail", "_aux", "A-"),
            contact("auxiliary_feed", "_aux", "A+", "N1.power_lost", closed=True, role=ElementRole.AUXILIARY_FEED),
        ]
    terminals = f"J L+ L- A+ A- D R IC{extra}"
    c.device("K1", "Door controller", terminals, *elements, place="unsecured side", exposed=True)


def relay(c: Circuit, command: str = "M1 M2") -> None:
    c.device(
        "K2", "Relay module", f"V+ V- {command} C NO NC",
        contact("message", "V+", "_told", "K1.output"), coil("relay", "_told", "V-"),
        contact("no", "C", "NO", "K2.relay"), contact("nc", "C", "NC", "K2.relay", closed=True), place="secured side",
    )  # fmt: skip


def lock(c: Circuit, ref: str, title: str, wires: tuple[str, str], *, diode: bool = True, number: int = 1) -> None:
    c.device(ref, title, "+ -", coil("coil", "+", "-"), place="at the door, secured side")
    c.cable(2, "18 AWG", *wires)
    part = f"R{number}"
    if diode:
        c.device(part, "Flyback diode", "K A", Element("diode", ElementKind.DIODE, "A", "K", {"v_forward_v": 0.7}))
        c.lead(f"{part}.K > {ref}.+", "", "cathode (banded end) to plus")
        c.lead(f"{part}.A > {ref}.-", "", "anode to minus")
    else:
        c.device(part, "Suppressor", "1 2", Element("mov", ElementKind.SUPPRESSOR, "1", "2", {"v_clamp_v": 47.0}))
        c.lead(f"{part}.1 > {ref}.+")
        c.lead(f"{part}.2 > {ref}.-")


def peripherals(c: Circuit, size: int = 6) -> None:
    c.device("B1", "Door position switch", "1 2", contact("contact", "1", "2", "B1.open", closed=True),
             place="door head, latch side")  # fmt: skip
    c.cable(2, "22 AWG", "K1.D > B1.1", "B1.2 > K1.IC", exposed=True)
    c.device("B2", "REX sensor", "+ - C NO", contact("sense", "+", "_held", "B2.motion", closed=True),
             coil("relay", "_held", "-"), contact("contact", "C", "NO", "B2.relay", closed=True),
             place="above header, egress side")  # fmt: skip
    c.cable(size, "22 AWG", "K1.A+ > B2.+", "K1.A- > B2.-", "K1.R > B2.NO", "K1.IC > B2.C", exposed=True)


def small() -> Netlist:
    """Three components: a port, a controller and a strike."""
    c = Circuit()
    port(c)
    c.data("N1.J > K1.J")
    controller(c)
    lock(c, "M1", "Electric strike, fail-secure", ("K1.L+ > M1.+", "M1.- > K1.L-"))
    return c.netlist()


def direct() -> Netlist:
    """Strike with diode, door contact, powered REX sensor on a cable with spare conductors."""
    c = Circuit()
    port(c)
    c.data("N1.J > K1.J")
    controller(c)
    peripherals(c)
    lock(c, "M1", "Electric strike, fail-secure", ("K1.L+ > M1.+", "M1.- > K1.L-"))
    return c.netlist()


def external() -> Netlist:
    """Relay module with an outside supply through a junction box."""
    c = Circuit()
    port(c)
    c.data("N1.J > K1.J")
    controller(c, extra=" M1 M2")
    peripherals(c)
    relay(c)
    c.cable(6, "22 AWG", "K1.A+ > K2.V+", "K1.A- > K2.V-", "K1.M1 > K2.M1", "K1.M2 > K2.M2", exposed=True)
    c.device("X1", "Junction box", "0V", place="above ceiling, secured side")
    c.device("G1", "DC supply 24 V with battery", "S+ S-", source("output", "_s", "S-"),
             contact("mains", "_s", "S+", "G1.mains_lost", closed=True, role=ElementRole.MAINS_FEED),
             contact("battery", "_s", "S+", "G1.battery_lost", closed=True, role=ElementRole.BATTERY_FEED), place="closet 1A")  # fmt: skip
    c.cable(2, "16 AWG", "G1.S+ > K2.C", "G1.S- > X1.0V", length_m=41.0)
    lock(c, "M1", "Electric strike, 24 V", ("K2.NO > M1.+", "M1.- > X1.0V"))
    return c.netlist()


def magnet() -> Netlist:
    """Electromagnetic lock behind a splitter, with manual release, fire alarm relay and suppressor."""
    c = Circuit()
    port(c)
    c.data("N1.J > T1.J1")
    c.device("T1", "PoE splitter", "J1 J2 P+ P-", source("output", "_s", "P-"),
             contact("feed", "_s", "P+", "N1.power_lost", closed=True, role=ElementRole.SPLITTER_FEED), place="secured side")  # fmt: skip
    controller(c, extra=" M1 M2", fed=False)
    c.data("T1.J2 > K1.J", 3.0)
    peripherals(c, 4)
    relay(c)
    c.lead("T1.P+ > K2.V+", "RD", "splitter tail, plus")
    c.lead("T1.P- > K2.V-", "BK", "splitter tail, minus")
    c.lead("K2.V+ > K2.C", "", "jumper")
    c.cable(4, "22 AWG", "K2.V+ > K1.A+", "K2.V- > K1.A-", "K2.M1 > K1.M1", "K2.M2 > K1.M2", exposed=True)
    c.device("X1", "Junction box", "1 2", place="above ceiling, secured side")
    c.device("S1", "Manual release", "11 12 23 24", contact("break", "11", "12", "S1.pressed", closed=True),
             contact("tell", "23", "24", "S1.pressed"), place="secured side, beside the door")  # fmt: skip
    c.cable(4, "18 AWG", "K2.NC > S1.11", "S1.12 > X1.1", "K1.R > S1.23", "K1.IC > S1.24")
    c.device("K3", "Fire alarm relay", "C NC", contact("contact", "C", "NC", "K3.alarm", closed=True),
             place="by fire alarm")  # fmt: skip
    c.cable(2, "18 AWG", "X1.1 > K3.C", "K3.NC > X1.2")
    lock(c, "M1", "Electromagnetic lock", ("X1.2 > M1.+", "M1.- > K2.V-"), diode=False)
    return c.netlist()


def double() -> Netlist:
    """Two leaves with a lock each, contacts in series through a splice, a reader on the exit side."""
    c = Circuit()
    port(c)
    c.data("N1.J > K1.J")
    controller(c, extra=" B1 B2")
    c.device("B1", "Door position switch", "1 2", contact("contact", "1", "2", "B1.open", closed=True), place="leaf 1")
    c.device("X2", "Splice in controller box", "1", place="at the controller")
    c.cable(2, "22 AWG", "K1.D > B1.1", "B1.2 > X2.1", exposed=True)
    c.device("B4", "Door position switch", "1 2", contact("contact", "1", "2", "B4.open", closed=True), place="leaf 2")
    c.cable(2, "22 AWG", "X2.1 > B4.1", "B4.2 > K1.IC", exposed=True)
    c.device("B3", "Reader, exit side", "+ - B1 B2", place="secured side")
    c.cable(6, "22 AWG", "K1.A+ > B3.+", "K1.A- > B3.-", "K1.B1 > B3.B1", "K1.B2 > B3.B2", exposed=True)
    for n in (1, 2):
        lock(c, f"M{n}", "Electric strike, fail-secure", (f"K1.L+ > M{n}.+", f"M{n}.- > K1.L-"), number=n)
    return c.netlist()


def crowded() -> Netlist:
    """As much as one door may have: fourteen components and forty-odd conductors."""
    c = Circuit()
    port(c)
    c.data("N1.J > K1.J")
    controller(c, extra=" M1 M2 B1 B2")
    peripherals(c, 8)
    relay(c)
    c.cable(6, "22 AWG", "K1.A+ > K2.V+", "K1.A- > K2.V-", "K1.M1 > K2.M1", "K1.M2 > K2.M2", exposed=True)
    c.device("X1", "Junction box", "1 2 0V", place="above ceiling, secured side")
    c.device("G1", "DC supply 24 V with battery", "S+ S-", source("output", "S+", "S-"), place="closet 1A")
    c.cable(2, "14 AWG", "G1.S+ > K2.C", "G1.S- > X1.0V", length_m=41.0)
    c.device("S1", "Manual release", "11 12 23 24", contact("break", "11", "12", "S1.pressed", closed=True),
             contact("tell", "23", "24", "S1.pressed"), place="secured side, beside the door")  # fmt: skip
    c.cable(6, "18 AWG", "K2.NC > S1.11", "S1.12 > X1.1", "K1.R > S1.23", "K1.IC > S1.24")
    c.device("K3", "Fire alarm relay", "C NC", contact("contact", "C", "NC", "K3.alarm", closed=True))
    c.cable(2, "18 AWG", "X1.1 > K3.C", "K3.NC > X1.2")
    c.device("B3", "Reader, exit side", "+ - B1 B2", place="secured side")
    c.cable(6, "22 AWG", "K1.A+ > B3.+", "K1.A- > B3.-", "K1.B1 > B3.B1", "K1.B2 > B3.B2", exposed=True)
    c.device("B5", "Reader, entry side", "+ - B1 B2", place="unsecured side", exposed=True)
    c.cable(6, "22 AWG", "K1.A+ > B5.+", "K1.A- > B5.-", "K1.B1 > B5.B1", "K1.B2 > B5.B2", exposed=True)
    for n in (1, 2):
        lock(c, f"M{n}", "Electromagnetic lock, 24 V", (f"X1.2 > M{n}.+", f"M{n}.- > X1.0V"), diode=False, number=n)
    return c.netlist()


ALL = {f.__name__: f for f in (small, direct, external, magnet, double, crowded)}
