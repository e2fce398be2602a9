"""What goes over the hinges into a leaf: lock power, and the wires of a switch in its bar or handle."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.circuits.netlist import Terminal
from riserkit.wiring import parts
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.need import DoorNeed


def signals_release(need: DoorNeed) -> bool:
    """A second pole of the manual release tells the controller, if the REX/AUX input is not somebody else's."""
    return need.release is not None and need.release.signals and need.opening.rex_aux_input == "rex"


def rex_refs(need: DoorNeed) -> tuple[str, ...]:
    """Designations of its REX sensors: one, or one in each bar."""
    if need.rex is None or need.opening.rex_aux_input != "rex":
        return ()
    return ("B2", "B6")[: need.opening.bars if need.rex.in_leaf else 1]


def release_refs(need: DoorNeed) -> tuple[str, ...]:
    """Designations of its manual releases: one, or one in each bar."""
    if need.release is None:
        return ()
    return ("S1", "S2")[: need.opening.bars if need.release.in_leaf else 1]


def leaf_transfer(builder: NetlistBuilder, need: DoorNeed, number: int) -> str:
    """The power transfer of leaf 1 or 2, with a terminal for every wire that goes into the leaf; returns its designation."""
    # X1 is the junction box and X2 the splice at the controller
    ref = f"X{number + 2}"
    if not builder.has(ref):
        builder.add(parts.power_transfer(ref, tuple(_terminals(need, number))))
    return ref


def _terminals(need: DoorNeed, number: int) -> Iterator[Terminal]:
    locks = range(1, need.opening.lock_count + 1)
    if need.lock_in_leaf and number in map(need.leaf_of_lock, locks):
        yield from (Terminal("+", "lock power", "+"), Terminal("-", "lock power", "-"))
    if need.rex is not None and need.rex.in_leaf and number <= len(rex_refs(need)):
        if need.rex.is_powered:
            yield from (Terminal("A+", "supply of the switch", "+"), Terminal("A-", "supply of the switch", "-"))
        yield from (Terminal("C", "to input"), Terminal("NO", "to input"))
    if need.release is not None and need.release.in_leaf and number <= len(release_refs(need)):
        yield from (Terminal("11", "lock power"), Terminal("12", "lock power"))
        if signals_release(need):
            yield from (Terminal("23", "to input"), Terminal("24", "to input"))
