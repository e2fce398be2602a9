"""Which outside states act together: those whose contacts lie in parts of a circuit that share no current.

Two parts that meet at a single node exchange no current there, so that what is switched in one changes no voltage across
anything in the other. A contact that a coil moves ties the coil's part to its own. States of different parts need not be
solved in every combination: solved by themselves they say all.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import networkx as nx

from riserkit.circuits.topology import Branch, Topology

ALONE = -1
"""The group of what no outside state acts on."""

_Ends = frozenset[int]


@dataclass(frozen=True, slots=True)
class Independence:
    """Groups of a structure, numbered from 0.

    Args:
        outside: group of each outside state, in the order of `Topology.outside`; ALONE for one that switches no current.
        elements: group of the outside states that act on each element, in the order of `Topology.elements`.
        count: how many groups there are.
    """

    outside: tuple[int, ...]
    elements: tuple[int, ...]
    count: int


class Parts:
    """The parts of a structure that share no current, with the joins of a fault made or not."""

    def __init__(self, topology: Topology) -> None:
        """Find the parts of the structure without joins."""
        self._topology = topology
        self._sound = _Blocks((*topology.elements, *topology.conductors))

    def independence(self, joined: Iterable[int] = ()) -> Independence:
        """Which outside states act together.

        Args:
            joined: indices of the joins that are made.
        """
        joins = [self._topology.joins[k] for k in sorted(joined)]
        if len(joins) > 1:
            branches = (*self._topology.elements, *self._topology.conductors, *joins)
            return self._grouped(_Blocks(branches), frozenset())
        return self._grouped(self._sound, self._sound.between(joins[0].a, joins[0].b) if joins else frozenset())

    def _grouped(self, blocks: _Blocks, one: frozenset[int]) -> Independence:
        """Groups of outside states; the blocks of `one` are tied to each other, and all of them carry current."""
        t = self._topology
        of = [blocks.carrying(branch, one) for branch in t.elements]
        ties = _Ties()
        for member in one:
            ties.tie(member, min(one))
        for block, branch in zip(of, t.elements, strict=True):
            if block is None:
                continue
            if branch.outside >= 0:
                ties.tie(block, t.outside[branch.outside])
            elif branch.mover >= 0:
                coil = of[t.movers[branch.mover]]
                ties.tie(block, block if coil is None else coil)
        number: dict[_Member, int] = {}
        outside = [number.setdefault(ties.root(n), len(number)) if n in ties else ALONE for n in t.outside]
        elements = [ALONE if block is None else number.get(ties.root(block), ALONE) for block in of]
        return Independence(tuple(outside), tuple(elements), len(number))


_Member = int | str


class _Ties:
    """Blocks and names of outside states that are tied to each other."""

    def __init__(self) -> None:
        self._above: dict[_Member, _Member] = {}

    def __contains__(self, member: _Member) -> bool:
        """Whether anything is tied to it."""
        return member in self._above

    def root(self, member: _Member) -> _Member:
        """One of the members that it is tied to, the same for all of them."""
        while (above := self._above.get(member, member)) != member:
            member = above
        return member

    def tie(self, one: _Member, other: _Member) -> None:
        for member in (one, other):
            self._above.setdefault(member, member)
        self._above[self.root(one)] = self.root(other)


class _Blocks:
    """The two-connected parts of a graph of branches, and how they hang together."""

    def __init__(self, branches: Sequence[Branch]) -> None:
        graph: nx.Graph[int] = nx.Graph()
        graph.add_edges_from((b.a, b.b) for b in branches if b.a != b.b)
        beside = Counter(_ends(b) for b in branches)
        self._at: dict[_Ends, int] = {}
        self._single: set[int] = set()
        self._blocks_of: dict[int, list[int]] = {}
        self._nodes_of: list[set[int]] = []
        for number, edges in enumerate(nx.biconnected_component_edges(graph)):
            pairs = [frozenset(edge) for edge in edges]
            self._at.update(dict.fromkeys(pairs, number))
            if len(pairs) == 1 and beside[pairs[0]] == 1:
                self._single.add(number)
            self._nodes_of.append({node for pair in pairs for node in pair})
            for node in self._nodes_of[-1]:
                self._blocks_of.setdefault(node, []).append(number)

    def carrying(self, branch: Branch, one: frozenset[int]) -> int | None:
        """The block of a branch; None for one that alone ties two parts, so that it carries no current.

        `one`: blocks in a ring that a join closes, which carry current even so.
        """
        block = self._at.get(_ends(branch))
        return None if block in self._single and block not in one else block

    def between(self, start: int, end: int) -> frozenset[int]:
        """The blocks on the way from one node to another; none where there is no way."""
        came: dict[int, tuple[int, int] | None] = {start: None}
        waiting = deque([start])
        while waiting and end not in came:
            node = waiting.popleft()
            for block in self._blocks_of.get(node, ()):
                for other in self._nodes_of[block]:
                    if other not in came:
                        came[other] = (node, block)
                        waiting.append(other)
        found = set()
        back = came.get(end)
        while back is not None:
            found.add(back[1])
            back = came[back[0]]
        return frozenset(found)


def _ends(branch: Branch) -> _Ends:
    return frozenset((branch.a, branch.b))
