"""Conductors that carry data: which terminals lose it when a door is miswired."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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

    @cached_property
    def _reached(self) -> frozenset[str]:
        return frozenset[str]().union(*self._meant.values())

    @cached_property
    def _own(self) -> frozenset[int]:
        return frozenset(map(id, self.netlist.conductors))

    def lost(self, wrong: Netlist) -> tuple[str, ...]:
        """Terminals that data reached as designed and does not reach as wired."""
        if _landed_alike(wrong, self.netlist) or self._reached.isdisjoint(self._differing(wrong)):
            return ()
        here = joined(wrong, self.terminals)
        return tuple(t for t in self.terminals if here[t] != self._meant[t])

    def _differing(self, wrong: Netlist) -> Iterator[str]:
        """Ends of the conductors that only one of the two has: what data reaches hangs on no others."""
        left = set(map(id, wrong.conductors))
        for conductors, known in ((wrong.conductors, self._own), (self.netlist.conductors, left)):
            for c in conductors:
                if id(c) not in known:
                    yield str(c.a)
                    yield str(c.b)


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
        one, other = groups.get(a) or {a}, groups.get(b) or {b}
        if one is not other:
            both = one | other
            groups.update(dict.fromkeys(both, both))
    return {terminal: frozenset(groups.get(terminal, {terminal})) for terminal in terminals}
