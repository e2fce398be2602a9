"""Which closet, switch and port each opening's cable goes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from riserkit.model.opening import Opening
from riserkit.model.power import Switch
from riserkit.model.site import Site
from riserkit.network.labels.equipment import label_equipment
from riserkit.network.labels.ledger import Ledger, is_assignment
from riserkit.network.routes import Router
from riserkit.network.spots import REACH_M
from riserkit.network.stated import surest
from riserkit.network.values import Placement

NOTHING_NEEDED: Final[Mapping[str, int]] = MappingProxyType({})


def place(
    site: Site, router: Router, needed_class: Mapping[str, int] = NOTHING_NEEDED
) -> tuple[Mapping[str, Placement], tuple[str, ...]]:
    """Place every opening, in this order of claims on a port, each in the order of the input.

    1. A stated switch and port.
    2. The port that the site's record of issued labels has for the opening.
    3. The lowest free port of a high enough class: of the stated switch, else of the stated closet's switches, else of
       the closet that a run of the site names, else of the nearest closet by length of route, else of the next nearest
       within reach. When no closet has one, any free port of the first choice, else none: switch `` and port 0.

    An opening added at the end moves no other. Ports on record for openings that are gone are given out last, since their
    cables are still in the wall.

    Args:
        site: the site.
        router: its routes.
        needed_class: class that the powered device asks for, by mark, where its part says so.

    Returns:
        Placements by mark in the order of the openings, and the marks that no closet reaches.
    """
    board = _Board(site)
    found: dict[str, Placement] = {}
    for opening in site.openings:
        if opening.switch and opening.port is not None:
            found[opening.mark] = board.claim(opening.mark, opening.switch, opening.port)
    for opening, switch, port in board.on_record(found):
        found[opening.mark] = board.claim(opening.mark, switch, port)
    choices = _choices(site, router)
    for opening, closets in zip(site.openings, choices, strict=True):
        if opening.mark not in found and closets:
            only = (site.switch[opening.switch],) if opening.switch else None
            found[opening.mark] = board.seat(opening.mark, closets, only, needed_class.get(opening.mark, 0))
    ordered = {opening.mark: found[opening.mark] for opening in site.openings if opening.mark in found}
    return MappingProxyType(ordered), tuple(o.mark for o in site.openings if o.mark not in found)


def power_rank(poe_class: int) -> int:
    """Classes in order of power: class 0 grants what class 3 does.

    Examples:
        >>> [power_rank(c) for c in (0, 1, 3, 4)]
        [3, 1, 3, 4]
    """
    return poe_class or 3


def stated_closet(site: Site, router: Router, opening: Opening) -> str:
    """The closet that the user sends an opening to, empty when he leaves it open.

    A stated switch is where it is, whatever closet is stated beside it.
    """
    if opening.switch:
        return site.switch[opening.switch].closet
    if opening.closet:
        return opening.closet
    named = {run.id: (closet, run) for closet, run in router.runs.closets_of(opening.mark)}
    best = surest(run for _, run in named.values()) or next((run for _, run in named.values()), None)
    return named[best.id][0] if best else ""


def _choices(site: Site, router: Router) -> Iterator[tuple[str, ...]]:
    """Closets to try for each opening, the first choice first."""
    closets = sorted(closet.id for closet in site.closets)
    lengths_m = np.array([router.lengths_m(closet) for closet in closets]).reshape(len(closets), len(site.openings))
    order = np.argsort(lengths_m, axis=0, kind="stable")
    for row, opening in enumerate(site.openings):
        stated = stated_closet(site, router, opening)
        if stated:
            yield (stated,)
            continue
        column = lengths_m[:, row]
        near = [int(i) for i in order[:, row] if column[i] <= REACH_M] or [int(i) for i in order[:1, row]]
        yield tuple(closets[i] for i in near if np.isfinite(column[i]))


@dataclass(frozen=True, slots=True)
class _Search:
    rank: int
    with_held: bool


class _Board:
    """Ports while they are being given out. Ports are only ever taken, so each search goes on where the last one ended."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._switches: dict[str, tuple[Switch, ...]] = {closet.id: () for closet in site.closets}
        for switch in site.switches:
            self._switches[switch.closet] += (switch,)
        self._taken: dict[str, set[int]] = {switch.id: set() for switch in site.switches}
        self._recorded = dict(_recorded_ports(site))
        self._held: dict[str, set[int]] = {switch.id: set() for switch in site.switches}
        for switch_id, port in held_ports(site):
            self._held[switch_id].add(port)
        self._start: dict[tuple[str, _Search], int] = {}
        self._full: set[tuple[str, int]] = set()

    def on_record(self, placed: Iterable[str]) -> Iterator[tuple[Opening, str, int]]:
        """Openings not yet placed whose port on record is free and agrees with what the user states."""
        done = set(placed)
        for opening in self._site.openings:
            switch_id, port = self._recorded.get(opening.mark, ("", 0))
            if not switch_id or opening.mark in done or port in self._taken[switch_id]:
                continue
            closet_id = self._site.switch[switch_id].closet
            agrees = opening.switch == switch_id if opening.switch else opening.closet in ("", closet_id)
            if agrees:
                yield opening, switch_id, port

    def claim(self, mark: str, switch_id: str, port: int) -> Placement:
        """Take this very port."""
        switch = self._site.switch[switch_id]
        self._taken[switch_id].add(port)
        return Placement(mark, switch.closet, switch_id, port, switch.classes[port - 1])

    def seat(self, mark: str, closets: Sequence[str], only: tuple[Switch, ...] | None, needed: int) -> Placement:
        """Take the best free port among some closets, or of the one switch in `only`."""
        rank = power_rank(needed) if needed else 0
        for closet in closets:
            free = self._free(closet, only, rank)
            if free is not None:
                return self.claim(mark, *free)
        # A port of too low a class shows as such in the checks; no port at all would hide what is wrong.
        free = self._free(closets[0], only, 0)
        return self.claim(mark, *free) if free else Placement(mark, closets[0], "", 0, 0)

    def _free(self, closet: str, only: tuple[Switch, ...] | None, rank: int) -> tuple[str, int] | None:
        if only is None and (closet, rank) in self._full:
            return None
        for with_held in (False, True):
            for switch in self._switches[closet] if only is None else only:
                port = self._lowest(switch, _Search(rank, with_held))
                if port is not None:
                    return switch.id, port
        if only is None:
            self._full.add((closet, rank))
        return None

    def _lowest(self, switch: Switch, search: _Search) -> int | None:
        taken, held = self._taken[switch.id], () if search.with_held else self._held[switch.id]
        for port in range(self._start.get((switch.id, search), 1), switch.door_ports + 1):
            if port not in taken and port not in held and power_rank(switch.classes[port - 1]) >= search.rank:
                self._start[switch.id, search] = port
                return port
        self._start[switch.id, search] = switch.door_ports + 1
        return None


def held_ports(site: Site) -> Mapping[tuple[str, int], str]:
    """Ports (switch, number) on record for openings that are gone, with their marks, until their labels are void."""
    void = {i.subject for i in site.issued_labels if i.void and is_assignment(i.kind, i.subject)}
    recorded = _recorded_ports(site)
    return MappingProxyType({port: mark for mark, port in recorded if mark not in site.opening and mark not in void})


def _recorded_ports(site: Site) -> Iterator[tuple[str, tuple[str, int]]]:
    """Switch and port on record by mark, marks that are no longer on the site included."""
    assigned = {i.subject: i.label for i in site.issued_labels if is_assignment(i.kind, i.subject)}
    if not assigned:
        return
    subjects = {label: subject for subject, label in label_equipment(site, Ledger(site)).port.items()}
    for mark, label in assigned.items():
        switch_id, _, port = subjects.get(label, "").rpartition(":")
        if switch_id:
            yield mark, (switch_id, int(port))
