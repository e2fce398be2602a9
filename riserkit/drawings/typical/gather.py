"""Typicals: doors whose circuits are the same but for lengths, labels and marks, gathered to be drawn once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Final, TypeVar

from riserkit.circuits.netlist import Component, Netlist
from riserkit.design import Design, DoorDesign
from riserkit.drawings.setting.numbers import sheet_numbers
from riserkit.quantities.natural_order import natural_order
from riserkit.standards.sheets import numbered_sheet_id
from riserkit.wiring.arrangement import CircuitBuild
from riserkit.wiring.as_built import BuiltCircuit
from riserkit.wiring.closets import with_closet_named
from riserkit.wiring.roles import DeviceRole

FIRST: Final = 11
"""Number of the first typical among the sheets of type 5: T-501 and a mark is an opening's own sheet."""
_NO_RANK: Final = float("inf")
_AFTER: Final = 1e-6
T = TypeVar("T")


@dataclass(frozen=True)
class Typical:
    """Doors that share one detail.

    Args:
        number: from 1; new ones in the order of the arrangements' ranks, then of each one's first door in the site.
        on_record: what the record of issued labels calls it, by which it keeps its number.
        netlist: what they share: see `structure`.
        doors: in the order of their marks, by which a crew looks them up; at least one.
        feasible: their wiring is chosen and passes every test; else it is drawn for discussion only.
    """

    number: int
    netlist: Netlist
    doors: tuple[DoorDesign, ...]
    feasible: bool
    on_record: str = ""

    @property
    def sheet_number(self) -> int:
        """Among the sheets of type 5: 11 and on."""
        return FIRST + self.number - 1

    @property
    def sheet_id(self) -> str:
        """Identification of its first sheet: T-511 and on."""
        return numbered_sheet_id("5", self.sheet_number)

    @property
    def subject(self) -> str:
        """Model id: from what is drawn and not from the number, which moves when another typical comes before."""
        return f"typical:{sha256(repr((self.netlist, self.feasible)).encode()).hexdigest()[:10]}"

    @property
    def title(self) -> str:
        """Arrangement and lock."""
        drawn, circuit = self.doors[0].wiring.drawn, self.doors[0].wiring.circuit
        locks = [self.netlist.component(ref).title for ref in circuit.locks] if circuit else []
        told = [f"{locks.count(t)} × {t}" if locks.count(t) > 1 else t for t in dict.fromkeys(locks)]
        return f"Typical: {', '.join([*([drawn.title] if drawn else []), *told])}"


def structure(netlist: Netlist) -> Netlist:
    """A netlist without what differs from door to door: lengths, the port's label, the closet's name.

    Devices, terminals, landings, colours, gauges, types of cable and values of parts stay: doors with equal structures
    are wired in the same way.
    """
    return replace(
        netlist,
        components=tuple(map(_neutral, netlist.components)),
        cables=tuple(replace(c, length_m=0.0, length_basis="") for c in netlist.cables),
        conductors=tuple(replace(c, r20_ohm=0.0) for c in netlist.conductors),
    )


def _neutral(component: Component) -> Component:
    title = "Switch port" if component.role == DeviceRole.NETWORK_PORT else component.title
    return replace(with_closet_named(component, "closet"), title=title, closet="closet" if component.closet else "")


def typicals(design: Design, own_sheets: Collection[str] = ()) -> tuple[Typical, ...]:
    """All typicals of a design, by number. A door with a circuit stands on one at most.

    Args:
        design: the whole design.
        own_sheets: marks of openings that have sheets of their own: where one alone is wired so, that is its drawing.
    """
    groups: dict[tuple[float, str, bool, Netlist], list[DoorDesign]] = {}
    for door in design.doors:
        drawn, netlist = door.wiring.drawn, door.wiring.netlist
        if drawn is not None and netlist is not None:
            key = (_rank(door), drawn.arrangement, _is_feasible(door), structure(netlist))
            groups.setdefault(key, []).append(door)
    drawn_here = [(key, few) for key, few in groups.items() if len(few) > 1 or few[0].mark not in own_sheets]
    # sorting is stable: groups of one rank stay in the order of their first doors
    ordered = sorted(drawn_here, key=lambda group: group[0][0])
    names = _names([_on_record(key[1], key[2], key[3]) for key, _ in ordered])
    numbers = sheet_numbers(design.site, "5", names, FIRST)
    found = [
        Typical(number - FIRST + 1, key[3], _by_mark(doors), key[2], name)
        for number, name, (key, doors) in zip(numbers, names, ordered, strict=True)
    ]
    return tuple(sorted(found, key=lambda typical: typical.number))


def _on_record(arrangement: str, feasible: bool, netlist: Netlist) -> str:
    """By its arrangement and its devices, which stay when a cable, a colour or a door of it changes."""
    devices = [(c.ref, c.part or c.role) for c in netlist.components]
    return f"typical {arrangement} {sha256(repr((feasible, devices)).encode()).hexdigest()[:10]}"


def _names(found: Sequence[str]) -> tuple[str, ...]:
    """Each once: the second of the same devices, with other cables, has a 2 behind it."""
    before = [found[:n].count(name) for n, name in enumerate(found)]
    return tuple(f"{name} {n + 1}" if n else name for name, n in zip(found, before, strict=True))


def unsettled(design: Design) -> tuple[DoorDesign, ...]:
    """Doors that stand on no typical, because no circuit can be drawn for them."""
    return _by_mark(d for d in design.doors if d.wiring.drawn is None or d.wiring.netlist is None)


def _by_mark(doors: Iterable[DoorDesign]) -> tuple[DoorDesign, ...]:
    return tuple(sorted(doors, key=lambda door: natural_order(door.mark)))


def _is_feasible(door: DoorDesign) -> bool:
    return door.wiring.chosen is not None and not door.wiring.chosen.failed


def _rank(door: DoorDesign) -> float:
    """That of its arrangement. Doors landed otherwise than drawn come after those they were drawn with, which keep the number."""
    build = door.wiring.build
    if isinstance(build, BuiltCircuit):
        return build.build.arrangement.rank + (_AFTER if build.landed else 0.0)
    return build.arrangement.rank if isinstance(build, CircuitBuild) else _NO_RANK


def agreed(values: Iterable[T]) -> T | None:
    """The value that all agree on; None when they do not, or there are none."""
    found = iter(values)
    first = next(found, None)
    return first if all(value == first for value in found) else None
