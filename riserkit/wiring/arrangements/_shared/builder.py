"""Puts a netlist together conductor by conductor, so that colours, designations and spares follow from what is landed."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from riserkit.circuits.netlist import Cable, Component, Conductor, Landing, Netlist, Spare
from riserkit.model.cabling import CableType
from riserkit.standards.colours import MINUS_COLOUR, PLUS_COLOUR, conductor_colours
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.need import DeviceCable

# A factory lead or a jumper inside a box: short and of the gauge such leads usually have (common practice, no source).
LEAD_GAUGE = "22 AWG"
LEAD_LENGTH_M = 0.15
DATA_COLOUR = "4PR"


@lru_cache(maxsize=4096)
def _one_component(component: Component) -> Component:
    """The same for all that are equal: thousands of doors have the same devices, and a circuit is mostly these."""
    return component


@lru_cache(maxsize=16384)
def _one_conductor(conductor: Conductor) -> Conductor:
    return conductor


@lru_cache(maxsize=4096)
def _one_cable(cable: Cable) -> Cable:
    return cable


def lock_ref(number: int) -> str:
    """Designation of lock 1 or 2."""
    return f"M{number}"


def cable_colours(cable_type: CableType) -> tuple[str, ...]:
    """The conductor letters of a cable type: as bought when stated, else what reels usually carry."""
    stated = tuple(cable_type.colours.upper().split())
    return stated or conductor_colours(cable_type.conductors)


class NetlistBuilder:
    """Collects components and conductors; `netlist` freezes them.

    Conductors are numbered in the order they are landed. Of a cable whose type states its colours they take these in turn;
    else plus takes red, minus and returns black, signals the others first. What is left over is spare.
    """

    def __init__(self) -> None:
        self._components: list[Component] = []
        self._cables: list[Cable] = []
        self._conductors: list[Conductor] = []
        self._free: dict[str, list[str]] = {}
        self._stated: set[str] = set()

    def add(self, component: Component) -> str:
        """Add a component; returns its designation."""
        self._components.append(component)
        return component.ref

    def has(self, ref: str) -> bool:
        """Whether there is a component of this designation."""
        return any(c.ref == ref for c in self._components)

    def house(self, box_ref: str, place: str, *roles: str) -> None:
        """Put the components with these roles into a box; `place` says so in words."""
        self._components = [replace(c, inside=box_ref, place=place) if c.role in roles else c for c in self._components]

    def place_of(self, end: str) -> str:
        """The box or device in which a terminal `K1.L+` is, by designation."""
        ref = end.partition(".")[0]
        return next((c.inside or c.ref for c in self._components if c.ref == ref), ref)

    def cable(self, role: str, device_cable: DeviceCable, *, exposed: bool = False) -> str:
        """Add a cable that serves `role`, a key of `DoorNeed.cables` or `feed`; returns its designation, `W1` and on."""
        ref = f"W{len(self._cables) + 1}"
        kind = device_cable.cable_type
        self._cables.append(
            Cable(
                ref=ref,
                cable_type=kind.id,
                length_m=device_cable.length_m,
                length_basis=device_cable.basis,
                colours=cable_colours(kind),
                gauge=kind.gauge or "",
                exposed=exposed,
                role=role,
                stranding=kind.stranding,
            )
        )
        self._free[ref] = list(self._cables[-1].colours)
        if kind.colours:
            self._stated.add(ref)
        return ref

    def wire(self, cable_ref: str, a: str, b: str, note: str = "", *, plus: bool = False) -> None:
        """Land one more conductor of the cable from terminal `a` to terminal `b`, each as `K1.L+`.

        `plus`: it carries plus though neither terminal says so, as between contacts in a lock's feed.

        Raises:
            ValueError: when the cable has no conductor left; arrangements screen for this first.
        """
        cable = next(c for c in self._cables if c.ref == cable_ref)
        free = self._free[cable_ref]
        if not free:
            raise ValueError(f"{cable_ref} has {len(cable.colours)} conductors and needs one more for {a}")
        colour = free[0] if cable_ref in self._stated else self._preferred(free, a, b, plus=plus)
        free.remove(colour)
        r20_ohm = resistance_per_m_20c_ohm(cable.gauge, cable.stranding) * cable.length_m
        self._conductor(a, b, colour, cable.gauge, r20_ohm, cable_ref, note)

    def _preferred(self, free: list[str], a: str, b: str, *, plus: bool) -> str:
        """Red for plus, black for minus and returns, neither for a signal, where the cable has others left."""
        signs = {self._polarity(end) for end in (a, b)} - {""}
        if plus or "+" in signs:
            last: tuple[str, ...] = (MINUS_COLOUR,)
        elif "-" in signs:
            return MINUS_COLOUR if MINUS_COLOUR in free else next((c for c in free if c != PLUS_COLOUR), free[0])
        else:
            last = (PLUS_COLOUR, MINUS_COLOUR)
        return next((c for c in free if c not in last), free[0])

    def _polarity(self, end: str) -> str:
        ref, _, name = end.partition(".")
        return next((c.terminal(name).polarity for c in self._components if c.ref == ref), "")

    def data(self, role: str, device_cable: DeviceCable, a: str, b: str) -> None:
        """The network cable, drawn as one line of four pairs from jack to jack."""
        ref = self.cable(role, device_cable)
        gauge = device_cable.cable_type.gauge or ""
        r20_ohm = resistance_per_m_20c_ohm(gauge, device_cable.cable_type.stranding) * device_cable.length_m
        self._free[ref] = []
        self._conductor(a, b, DATA_COLOUR, gauge, r20_ohm, ref, "")

    def lead(self, a: str, b: str, colour: str, note: str = "") -> None:
        """A factory lead or jumper, in no cable."""
        r20_ohm = resistance_per_m_20c_ohm(LEAD_GAUGE) * LEAD_LENGTH_M
        self._conductor(a, b, colour, LEAD_GAUGE, r20_ohm, "", note)

    def _conductor(self, a: str, b: str, colour: str, gauge: str, r20_ohm: float, cable: str, note: str) -> None:
        ref = str(len(self._conductors) + 1)
        self._conductors.append(Conductor(ref, _landing(a), _landing(b), colour, gauge, r20_ohm, cable, note))

    def netlist(self, reference_node: str) -> Netlist:
        """All of it, frozen, with the spare conductors of every cable."""
        spares = tuple(Spare(cable.ref, colour) for cable in self._cables for colour in self._free[cable.ref])
        return Netlist(
            tuple(map(_one_component, self._components)), tuple(map(_one_cable, self._cables)),
            tuple(map(_one_conductor, self._conductors)), spares, reference_node,
        )  # fmt: skip


@lru_cache(maxsize=4096)
def _landing(name: str) -> Landing:
    component, _, terminal = name.partition(".")
    return Landing(component, terminal)
