"""Cables at a door keep the designation they were issued under, for labels that are on them already."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.quantities.grouping import grouped
from riserkit.wiring.need import DATA

IssuedCable = tuple[str, int]
"""What a cable served, and the number of its designation; nothing served where the number is only not to be used again."""

_DATA_NUMBER: Final = 1


def with_issued_numbers(netlist: Netlist, issued: Sequence[IssuedCable]) -> Netlist:
    """The netlist with each cable under the number that one serving the same was issued under.

    Of several that serve the same the first takes the first number, and so on. Others get numbers beyond all that were issued:
    a number that stood for a cable now gone may still be on that cable. The PoE cable has the label of its port.

    Args:
        netlist: with its cables numbered in the order they were added.
        issued: what was issued at this door, by number; none leaves the netlist as it is.
    """
    if not issued:
        return netlist
    names = dict(_names(netlist, issued))
    if all(name == ref for ref, name in names.items()):
        return netlist
    cables = sorted((replace(c, ref=names[c.ref]) for c in netlist.cables), key=lambda c: _number(c.ref))
    return replace(
        netlist,
        cables=tuple(cables),
        conductors=tuple(replace(c, cable=names[c.cable]) if c.cable else c for c in netlist.conductors),
        spares=tuple(
            sorted((replace(s, cable=names[s.cable]) for s in netlist.spares), key=lambda s: _number(s.cable))
        ),
    )


def _names(netlist: Netlist, issued: Sequence[IssuedCable]) -> Iterator[tuple[str, str]]:
    """(designation as added, as issued) of each cable."""
    by_role = grouped((role, number) for role, number in issued)
    beyond = max((_DATA_NUMBER, *(number for _, number in issued)))
    seen: Counter[str] = Counter()
    for cable in netlist.cables:
        if cable.role == DATA:
            yield cable.ref, cable.ref
            continue
        known, place = by_role.get(cable.role, []), seen[cable.role]
        seen[cable.role] += 1
        if place < len(known):
            yield cable.ref, f"W{known[place]}"
        else:
            beyond += 1
            yield cable.ref, f"W{beyond}"


def _number(ref: str) -> int:
    return int(ref.removeprefix("W"))
