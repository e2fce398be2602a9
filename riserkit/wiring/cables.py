"""All cables of a design in one list: what each is, what it serves, how long it is, and the pathways it takes.

Fill, bundles, jackets, schedules and drawings read this list, so that no cable can count in one and be left out of another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, Protocol

from riserkit.circuits.netlist import Cable
from riserkit.model.cabling import LengthBasis
from riserkit.model.power import Supply
from riserkit.model.site import Site
from riserkit.network.values import CableRun, Route
from riserkit.wiring.need import DATA, NOT_KNOWN
from riserkit.wiring.values import DoorWiring

FEED: Final = "feed"
_BASES: Final = frozenset(str(basis) for basis in LengthBasis)


class CableKind(StrEnum):
    """Where a cable goes."""

    HORIZONTAL = "horizontal"
    BACKBONE = "backbone"
    LOCK_POWER = "lock power"
    DOOR = "door"


@dataclass(frozen=True, slots=True)
class DesignCable:
    """One cable of the design.

    Args:
        kind: horizontal (closet to door), backbone (closet to closet), lock power (a supply elsewhere to a door), or door
            (between devices at one door).
        subject: its identity across builds: a mark, `CLOSET>CLOSET`, or mark and designation as `101-W3`.
        label: as it is marked; that of a cable at a door or of lock power is its subject.
        cable_type: id of its type.
        serves: `data`, `backbone`, or what it serves at the door, such as `lock`, `contact`, `feed`.
        from_id: closet, or supply of the site, or the mark for a cable at a door.
        to_id: mark, or closet for a backbone cable.
        mark: the opening that it serves; empty for a backbone cable.
        length_m: None where no way is known.
        basis: how the length is known, `unknown` without one.
        route: its way over pathways; None at a door, and where no way is known.
    """

    kind: CableKind
    subject: str
    label: str
    cable_type: str
    serves: str
    from_id: str
    to_id: str
    mark: str
    length_m: float | None
    basis: str
    route: Route | None = None

    @property
    def called(self) -> str:
        """What it is called on paper: its label, else its subject."""
        return self.label or self.subject

    @property
    def segments(self) -> tuple[str, ...]:
        """Pathway segments on its way, in order; none where it takes none or its way is unknown."""
        return self.route.segments if self.route is not None else ()


class Ways(Protocol):
    """Finds ways from closets to openings; the network's router does."""

    def route(self, closet_id: str, mark: str, /) -> Route | None:
        """The route between a closet and an opening; None when there is no way."""
        ...


def pathway_cables(
    site: Site, ways: Ways, runs: Iterable[CableRun], wirings: Iterable[DoorWiring]
) -> tuple[DesignCable, ...]:
    """Every cable that runs over pathways.

    Args:
        site: the site.
        ways: finds the way of a cable for lock power.
        runs: data and backbone cables, in the order wanted.
        wirings: of the doors.
    """
    return (*_network_cables(runs), *_lock_power_cables(site, ways, wirings))


def _network_cables(runs: Iterable[CableRun]) -> Iterator[DesignCable]:
    for run in runs:
        is_backbone = run.kind == "backbone"
        kind = CableKind.BACKBONE if is_backbone else CableKind.HORIZONTAL
        yield DesignCable(
            kind, run.subject, run.label, run.cable_type, "backbone" if is_backbone else DATA, run.from_id, run.to_id,
            "" if is_backbone else run.to_id, run.route.length_m if run.route else None,
            str(run.route.basis) if run.route else "unknown", run.route,
        )  # fmt: skip


def door_cables(site: Site, wirings: Iterable[DoorWiring]) -> Iterator[DesignCable]:
    """The cables between devices at each door, those of its netlist that are no PoE cable and no home run."""
    for wiring in wirings:
        away = _distant_supply(site, wiring) is not None
        for cable in _at_door(wiring):
            if cable.role != DATA and not (away and cable.role == FEED):
                subject = f"{wiring.mark}-{cable.ref}"
                yield DesignCable(
                    CableKind.DOOR, subject, subject, cable.cable_type, cable.role, wiring.mark, wiring.mark,
                    wiring.mark, cable.length_m, cable.length_basis,
                )  # fmt: skip


def _lock_power_cables(site: Site, ways: Ways, wirings: Iterable[DoorWiring]) -> Iterator[DesignCable]:
    """The home runs that bring lock power from supplies of the site that do not stand at the door itself."""
    for wiring in wirings:
        supply = _distant_supply(site, wiring)
        for cable in _at_door(wiring) if supply else ():
            if supply and cable.role == FEED:
                yield _home_run(ways, supply, wiring.mark, cable)


def _at_door(wiring: DoorWiring) -> tuple[Cable, ...]:
    return wiring.netlist.cables if wiring.netlist is not None else ()


def _distant_supply(site: Site, wiring: DoorWiring) -> Supply | None:
    supply = site.supply.get(wiring.drawn.supply_id) if wiring.drawn else None
    return supply if supply is not None and supply.opening != wiring.mark else None


def _home_run(ways: Ways, supply: Supply, mark: str, cable: Cable) -> DesignCable:
    way = ways.route(supply.closet, mark) if supply.closet else None
    basis = cable.length_basis if cable.length_basis in _BASES else NOT_KNOWN
    if way is not None and basis != NOT_KNOWN:
        way = replace(way, length_m=cable.length_m, basis=LengthBasis(basis))
    subject, length_m = f"{mark}-{cable.ref}", None if basis == NOT_KNOWN else cable.length_m
    return DesignCable(
        CableKind.LOCK_POWER, subject, subject, cable.cable_type, cable.role, supply.id, mark, mark, length_m, basis, way,
    )  # fmt: skip
