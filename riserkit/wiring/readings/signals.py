"""Conductors that carry data: which terminals lose it when a door is miswired."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from riserkit.circuits.netlist import Netlist
from riserkit.wiring.readings.ends import signal_pairs


@dataclass(frozen=True)
class Signals:
    """Where data goes as designed."""

    netlist: Netlist

    @cached_property
    def terminals(self) -> tuple[str, ...]:
        """Both ends of every conductor that carries data only, `component.terminal`."""
        return tuple(dict.fromkeys(end for pair in signal_pairs(self.netlist) for end in pair))

    @cached_property
    def _meant(self) -> dict[str, frozenset[str]]:
        return joined(self.netlist, self.terminals)

    def lost(self, wrong: Netlist) -> tuple[str, ...]:
        """Terminals that data reached as designed and does not reach as wired."""
        if _landed_alike(wrong, self.netlist):
            return ()
        here = joined(wrong, self.terminals)
        return tuple(t for t in self.terminals if here[t] != self._meant[t])


def _landed_alike(one: Netlist, other: Netlist) -> bool:
    """Whether the same conductors land at the same places, whatever their resistance."""
    if len(one.conductors) != len(other.conductors):
        return False
    return all(c is d or (c.a == d.a and c.b == d.b) for c, d in zip(one.conductors, other.conductors, strict=True))


def joined(netlist: Netlist, terminals: Iterable[str]) -> dict[str, frozenset[str]]:
    """What conductors alone join each terminal with."""
    groups: dict[str, set[str]] = {}
    for c in netlist.conductors:
        a, b = str(c.a), str(c.b)
        both = groups.get(a, {a}) | groups.get(b, {b})
        groups.update(dict.fromkeys(both, both))
    return {terminal: frozenset(groups.get(terminal, {terminal})) for terminal in terminals}
