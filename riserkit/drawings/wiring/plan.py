"""A plan of a wiring diagram: which device in which column, in what order, with its terminals in which order.

Conductors that must pass a column do so together, cable by cable, through a gap in the column like a
device without terminals. Everything is counted in steps of the grid, downward.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from riserkit.drawings.wiring.rows import DeviceRows, TerminalRows
from riserkit.drawings.wiring.values import Edge


class Item(NamedTuple):
    """An item of a column: a device by number, or (device -1) the gap that one cable passes through."""

    device: int
    passing: str = ""


class Ends(NamedTuple):
    """A conductor between two devices by number, each with the terminal."""

    wire: int
    cable: str
    a: int
    a_terminal: str
    b: int
    b_terminal: str


Columns = tuple[tuple[Item, ...], ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """Columns in numbers. Items are numbered from the top of the first column on.

    Args:
        columns: what it is worked out from.
        key: the column of each device.
        items: column and item by number.
        numbers: the numbers in each column.
        at: the number of each device.
        rank: the place of each device in its column.
        gaps: the number of each gap by column and what passes it.
        edges: the edge of each terminal, by device.
        readings: by device, its conductors in the order their far ends stand; empty where no terminal has several.
        strays: pairs of devices of which the one named first is further right.
    """

    columns: Columns
    key: tuple[int, ...]
    items: tuple[tuple[int, Item], ...]
    numbers: tuple[range, ...]
    at: tuple[int, ...]
    rank: tuple[int, ...]
    gaps: Mapping[tuple[int, str], int]
    edges: tuple[Mapping[str, Edge], ...]
    readings: tuple[tuple[int, ...], ...]
    strays: int


@dataclass(frozen=True)
class LayoutProblem:
    """What is to be laid out. `target_steps` is the height there is room for."""

    devices: tuple[DeviceRows, ...]
    wires: tuple[Ends, ...]
    target_steps: int

    @cached_property
    def edges_by_columns(self) -> dict[tuple[int, ...], tuple[dict[str, Edge], ...]]:
        """Edges of terminals by the columns of the devices, kept because a search asks for few over and over."""
        return {}

    @cached_property
    def rows_by_order(self) -> dict[tuple[int, tuple[str, ...], tuple[Edge, ...], tuple[int, ...]], TerminalRows]:
        """Rows by device, order of terminals, their edges, and reading; kept for the same reason."""
        return {}

    @cached_property
    def rows_by_columns(self) -> dict[tuple[int, tuple[str, ...], tuple[int, ...], tuple[int, ...]], TerminalRows]:
        """The same by the columns of the devices, which are at hand, instead of the edges that follow from them."""
        return {}

    @cached_property
    def last_standing(self) -> dict[str, Standing]:
        """What the columns last asked about decide."""
        return {}

    @cached_property
    def pass_keys(self) -> tuple[str, ...]:
        """What each conductor passes a column with."""
        return tuple(pass_key(wire) for wire in self.wires)

    @cached_property
    def wires_of(self) -> tuple[tuple[Ends, ...], ...]:
        """The conductors of each device."""
        return tuple(tuple(w for w in self.wires if n in (w.a, w.b)) for n in range(len(self.devices)))


@dataclass(frozen=True, slots=True)
class WiringPlan:
    """Columns of items from the top, and the order of each device's terminals."""

    columns: Columns
    orders: tuple[tuple[str, ...], ...]

    def column_of(self) -> dict[int, int]:
        """Column of each device."""
        return {item.device: n for n, column in enumerate(self.columns) for item in column if item.device >= 0}


def edges_of(problem: LayoutProblem, plan: WiringPlan) -> tuple[dict[str, Edge], ...]:
    """The edge of each terminal: outer columns face inward, between them towards where its conductors go."""
    key = columns_key(plan)
    if key not in problem.edges_by_columns:
        problem.edges_by_columns[key] = _edges(problem, plan)
    return problem.edges_by_columns[key]


def columns_key(plan: WiringPlan) -> tuple[int, ...]:
    """The number of columns, and the column of each device."""
    column = plan.column_of()
    return (len(plan.columns), *(column[n] for n in range(len(column))))


def _edges(problem: LayoutProblem, plan: WiringPlan) -> tuple[dict[str, Edge], ...]:
    column, last = plan.column_of(), len(plan.columns) - 1
    found: list[dict[str, Edge]] = []
    for n, device in enumerate(problem.devices):
        if column[n] in (0, last):
            side: Edge = "right" if column[n] == 0 else "left"
            found.append(dict.fromkeys(device.terminals, side))
        else:
            found.append(_inner_edges(problem, column, n))
    return tuple(found)


def _inner_edges(problem: LayoutProblem, column: Mapping[int, int], n: int) -> dict[str, Edge]:
    pull = dict.fromkeys(problem.devices[n].terminals, 0)
    for wire in problem.wires_of[n]:
        here = [wire.a_terminal] if wire.a == n else []
        here += [wire.b_terminal] if wire.b == n else []
        other = column[wire.b if wire.a == n else wire.a]
        for terminal in here:
            pull[terminal] += (other > column[n]) - (other < column[n])
    # a part across two terminals needs both on one edge
    across = [t for t in pull if any(c.lead for c in problem.devices[n].landed_at(t))]
    for terminal in across:
        pull[terminal] = sum(pull[t] for t in across)
    for chain in problem.devices[n].chains:
        # an idle contact stays beside the one it changes over with
        for idle, mate in ((chain.a, chain.b), (chain.b, chain.a)):
            if pull[idle] == 0 and not problem.devices[n].landed_at(idle):
                pull[idle] = pull[mate]
    # what nothing pulls, or what goes to the same column, stays with the rest of the device
    whole = sum(pull.values())
    return {t: "right" if p > 0 or (p == 0 and whole > 0) else "left" for t, p in pull.items()}


def needed_passes(problem: LayoutProblem, plan: WiringPlan) -> tuple[tuple[str, ...], ...]:
    """The cables (or single conductors, by number) that must pass each column."""
    column, edges = plan.column_of(), edges_of(problem, plan)
    found: list[list[str]] = [[] for _ in plan.columns]
    for wire in problem.wires:
        first, last = sorted(
            (
                _channel(column[wire.a], edges[wire.a][wire.a_terminal]),
                _channel(column[wire.b], edges[wire.b][wire.b_terminal]),
            )
        )
        for passed in range(first + 1, last + 1):
            key = pass_key(wire)
            if key not in found[passed]:
                found[passed].append(key)
    return tuple(tuple(keys) for keys in found)


def pass_key(wire: Ends) -> str:
    """What a conductor passes a column with: its cable, or itself when it has none."""
    return wire.cable or f"#{wire.wire}"


def _channel(column: int, edge: Edge) -> int:
    return column if edge == "right" else column - 1


def with_passes(problem: LayoutProblem, plan: WiringPlan) -> WiringPlan:
    """The plan with gaps for exactly those cables that pass each column; new ones go to the bottom."""
    needed = needed_passes(problem, plan)
    columns = []
    for column, keys in zip(plan.columns, needed, strict=True):
        kept = [item for item in column if item.device >= 0 or item.passing in keys]
        have = {item.passing for item in kept if item.device < 0}
        columns.append((*kept, *(Item(-1, key) for key in keys if key not in have)))
    return WiringPlan(tuple(columns), plan.orders)
