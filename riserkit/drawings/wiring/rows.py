"""The rows of one device: which terminal stands where on its edges, and which conductor lands on which row.

A terminal with several conductors takes a row for each, so that no two conductors run on one line. Offsets are whole
steps of the grid, downward from the top of the device's outline.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

from riserkit.drawings.wiring.chains import Chain
from riserkit.drawings.wiring.values import Edge

RowKind = Literal["land", "lead", "idle", "spare"]
ROW_STEPS = 2
LEAD_STEPS = 4
LINK_STEPS = 2


class Landed(NamedTuple):
    """One conductor's end at a terminal: its number in the netlist, its cable, and whether it is a part's own lead."""

    wire: int
    cable: str
    lead: bool


class TerminalRow(NamedTuple):
    """One row: `wire` is -1 where nothing lands; `spares` is the count of spare conductors of a spare row."""

    kind: RowKind
    terminal: str
    wire: int
    cable: str
    edge: Edge
    at: int
    spares: int = 0


@dataclass(frozen=True, slots=True)
class DeviceRows:
    """What decides a device's rows.

    Args:
        terminals: names in the order they stand on the device.
        landed: conductors by terminal.
        chains: symbols shown inside.
        spares: spare conductors by cable that end here.
        head_steps: steps taken by the heading.
        role: what the device is there for.
        groups: terminals that stand together on the device, in its own order, each group from first to last; a terminal
            in no group stands by itself.
    """

    terminals: tuple[str, ...]
    landed: tuple[tuple[Landed, ...], ...]
    chains: tuple[Chain, ...]
    spares: tuple[tuple[str, int], ...]
    head_steps: int
    role: str = ""
    groups: tuple[tuple[str, ...], ...] = ()

    is_shared: bool = field(init=False, compare=False)
    """Some terminal has several conductors."""
    link_room: Mapping[tuple[str, str], int] = field(init=False, compare=False, repr=False)
    """Steps between two adjoining terminals that symbols stand between."""
    at_terminal: Mapping[str, tuple[Landed, ...]] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        # asked for so often that they are worked out once
        object.__setattr__(self, "is_shared", any(len(landed) > 1 for landed in self.landed))
        room: dict[tuple[str, str], int] = {}
        for chain in self.chains:
            for pair in ((chain.a, chain.b), (chain.b, chain.a)):
                room[pair] = max(room.get(pair, ROW_STEPS), LINK_STEPS * len(chain.links))
        object.__setattr__(self, "link_room", room)
        object.__setattr__(self, "at_terminal", dict(zip(self.terminals, self.landed, strict=True)))

    @property
    def least_steps(self) -> int:
        """About as high as the device is at least."""
        return len(self.terminals) * ROW_STEPS + self.head_steps + 3

    def landed_at(self, terminal: str) -> tuple[Landed, ...]:
        """The conductors at a terminal."""
        return self.at_terminal[terminal]


@dataclass(frozen=True, slots=True)
class TerminalRows:
    """The rows of one device, its height, and how untidy they are: 0 is perfect.

    `offset` is the row of each conductor at each terminal.
    """

    rows: tuple[TerminalRow, ...]
    height: int
    untidiness: float
    offset: Mapping[tuple[int, str], int] = field(hash=False)


def rows_of(
    device: DeviceRows, order: tuple[str, ...], edges: tuple[Edge, ...], reading: tuple[int, ...]
) -> TerminalRows:
    """The rows for one order of terminals.

    Args:
        device: what decides them.
        order: terminal names from the top.
        edges: the edge of each, in the same order.
        reading: wire numbers in the order their far ends would best be met; decides among conductors of one terminal.
    """
    edge = dict(zip(order, edges, strict=True))
    sequence = _sequence(device, order, edge, {w: n for n, w in enumerate(reading)})
    rows, height = _spaced(device, sequence)
    offset = {(r.wire, r.terminal): r.at for r in rows if r.wire >= 0}
    return TerminalRows(rows, height, _untidiness(device, order, rows), offset)


def _sequence(
    device: DeviceRows, order: Sequence[str], edge: Mapping[str, Edge], rank: Mapping[int, int]
) -> list[TerminalRow]:
    first: dict[tuple[Edge, str], int] = {}
    last: dict[tuple[Edge, str], int] = {}
    last_lead = -1
    for n, terminal in enumerate(order):
        for c in device.at_terminal[terminal]:
            first.setdefault((edge[terminal], c.cable), n)
            last[edge[terminal], c.cable] = n
            last_lead = n if c.lead else last_lead
    rows: list[TerminalRow] = []
    for n, terminal in enumerate(order):
        landed, side = device.at_terminal[terminal], edge[terminal]

        def key(c: Landed, n: int = n, side: Edge = side) -> tuple[int, int]:
            if c.lead:
                # nested, when several parts stand across the same two terminals
                return (3, c.wire) if last_lead > n else (-1, -c.wire)
            goes_on = (last[side, c.cable] > n) - (first[side, c.cable] < n) if c.cable else 0
            return goes_on + 1, rank.get(c.wire, 0)

        for c in sorted(landed, key=key) if len(landed) > 1 else landed:
            rows.append(TerminalRow("lead" if c.lead else "land", terminal, c.wire, c.cable, side, 0))
        if not landed:
            rows.append(TerminalRow("idle", terminal, -1, "", side, 0))
    return _with_spares(device, rows)


def _with_spares(device: DeviceRows, rows: list[TerminalRow]) -> list[TerminalRow]:
    for cable, count in device.spares:
        last = max((n for n, row in enumerate(rows) if row.cable == cable and row.kind == "land"), default=None)
        if last is not None:
            rows.insert(last + 1, TerminalRow("spare", "", -1, cable, rows[last].edge, 0, count))
    return rows


def _spaced(device: DeviceRows, sequence: Sequence[TerminalRow]) -> tuple[tuple[TerminalRow, ...], int]:
    at = device.head_steps + 1
    placed: list[TerminalRow] = []
    for n, row in enumerate(sequence):
        if n:
            at += _gap(device, sequence[n - 1], row)
        placed.append(TerminalRow(row.kind, row.terminal, row.wire, row.cable, row.edge, at, row.spares))
        at += max(0, row.spares - 1)
    return tuple(placed), at + 2


def _gap(device: DeviceRows, upper: TerminalRow, lower: TerminalRow) -> int:
    if upper.kind == lower.kind == "lead" and upper.terminal != lower.terminal:
        return LEAD_STEPS
    return device.link_room.get((upper.terminal, lower.terminal), ROW_STEPS)


def _untidiness(device: DeviceRows, order: Sequence[str], rows: Sequence[TerminalRow]) -> float:
    place = {t: n for n, t in enumerate(order)}
    places = [place[t] for t in device.terminals]
    moved = sum([a > b for n, a in enumerate(places) for b in places[n + 1 :]])
    apart = sum(max(0, abs(place[c.a] - place[c.b]) - 1) for c in device.chains)
    return 8.0 * _broken_jackets(rows) + 6.0 * _split_leads(rows) + 0.4 * moved + 1.0 * apart


def _broken_jackets(rows: Sequence[TerminalRow]) -> int:
    """How many more groups of adjoining rows there are than cables at each edge."""
    broken = 0
    for edge in ("left", "right"):
        cables = [row.cable for row in rows if row.edge == edge and row.kind != "idle"]
        groups = sum(1 for n, cable in enumerate(cables) if cable and (n == 0 or cables[n - 1] != cable))
        broken += groups - len(set(cables) - {""})
    return broken


def _split_leads(rows: Sequence[TerminalRow]) -> int:
    leads = [n for n, row in enumerate(rows) if row.kind == "lead"]
    return sum(b - a - 1 for a, b in pairwise(leads) if rows[a].terminal != rows[b].terminal)


@lru_cache(maxsize=4096)
def tidy_order(device: DeviceRows, edges: tuple[tuple[str, Edge], ...]) -> tuple[str, ...]:
    """An order of terminals as near to the device's own as lets each cable's conductors stand together."""
    edge = dict(edges)
    order = device.terminals

    @cache
    def cost(candidate: tuple[str, ...]) -> float:
        return _untidiness(device, candidate, _sequence(device, candidate, edge, {}))

    best, improved = cost(order), True
    while improved:
        improved = False
        for candidate in moved_orders(order, device.groups):
            found = cost(candidate)
            if found < best - 1e-9:
                order, best, improved = candidate, found, True
                break
    return order


def moved_orders(order: tuple[str, ...], groups: tuple[tuple[str, ...], ...] = ()) -> list[tuple[str, ...]]:
    """The order with one group of terminals, or two adjoining ones, moved to each other place."""
    pieces, found = pieces_of(order, groups), list[tuple[str, ...]]()
    for size in (1, 2):
        for n in range(len(pieces) - size + 1):
            rest = pieces[:n] + pieces[n + size :]
            moved = pieces[n : n + size]
            found += [_joined((*rest[:m], *moved, *rest[m:])) for m in range(len(rest) + 1) if m != n]
    return found


def pieces_of(order: tuple[str, ...], groups: tuple[tuple[str, ...], ...]) -> tuple[tuple[str, ...], ...]:
    """An order of terminals as the groups it is made of."""
    size = {group[0]: len(group) for group in groups}
    found: list[tuple[str, ...]] = []
    at = 0
    while at < len(order):
        length = size.get(order[at], 1)
        found.append(order[at : at + length])
        at += length
    return tuple(found)


def _joined(pieces: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple([terminal for piece in pieces for terminal in piece])


def reordered_terminals(device: DeviceRows, order: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """The order with its groups from the bottom up, then with each group that something lands on in each other place."""
    pieces = pieces_of(order, device.groups)
    yield _joined(pieces[::-1])
    for k, piece in enumerate(pieces):
        if any(device.landed_at(terminal) for terminal in piece):
            others = pieces[:k] + pieces[k + 1 :]
            yield from (_joined((*others[:m], piece, *others[m:])) for m in range(len(pieces)) if m not in (k, k - 1))
