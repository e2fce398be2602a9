"""Four-pair cables that lie together along a pathway: how many, what current heats them, and how warm they get."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Protocol

from riserkit.model.cabling import PathwaySegment
from riserkit.model.site import Site
from riserkit.network.values import Route
from riserkit.standards.bundles import bundle_rise_k
from riserkit.standards.poe import POE_CLASSES
from riserkit.standards.source import NotTabulatedError

_NOT_AWG = 0
_BUNDLE_LEAST = 2


@dataclass(frozen=True, slots=True)
class FourPairCable:
    """What counts of one cable in a bundle.

    Args:
        cable_type: its type's id.
        awg: of its conductors; 0 for a size in mm².
        port_class: PoE class of its port; None for a cable without one.
        granted_class: the lower of port and powered device, which is what flows; None as before.
    """

    cable_type: str
    awg: int
    port_class: int | None
    granted_class: int | None


@dataclass(frozen=True)
class Bundle:
    """The four-pair cables of one stretch of pathway.

    Args:
        segment: its id.
        cables: all of the site that run through it, powered or not.
        most: cables in one bundle as the site states it, those of others counted with it; None where all of the site's lie
            together and nothing else.
    """

    segment: str
    cables: tuple[FourPairCable, ...]
    most: int | None

    @property
    def size(self) -> int:
        """Cables that lie together."""
        return len(self.cables) if self.most is None else self.most

    @property
    def foreign(self) -> int:
        """Cables of one bundle that are not the site's, of which nothing else is known."""
        return max(self.size - len(self.cables), 0)

    @property
    def powered(self) -> tuple[FourPairCable, ...]:
        """Those that carry power."""
        return tuple(cable for cable in self.cables if cable.port_class is not None)

    @property
    def half_loaded(self) -> bool:
        """Every powered port feeds two pairs, so that half the conductors carry nothing; of foreign cables nobody knows."""
        return not self.foreign and all(_two_pairs(cable.port_class) for cable in self.powered)

    @cached_property
    def rise_k(self) -> float | None:
        """Rise over the pathway's temperature with every cable at its granted class's power; None where it is not published.

        Cables of unlike current heat the bundle by the mean of what each would alone. Of several bundles the hottest counts.
        A foreign cable is taken to carry what the hottest of the site's does.
        A cable by itself is no bundle: published lengths are for it, and the table's least column is for up to seven.
        """
        if self.size < _BUNDLE_LEAST:
            return 0.0
        try:
            each_k = sorted((_rise_k(cable, self.size) for cable in self.cables), reverse=True)
        except NotTabulatedError:
            return None
        each_k = each_k[:1] * self.foreign + each_k
        return sum(each_k[: self.size]) / self.size


class Routed(Protocol):
    """A cable with its way."""

    @property
    def subject(self) -> str:
        """Its identity across builds."""
        ...

    @property
    def cable_type(self) -> str:
        """Id of its type."""
        ...

    @property
    def route(self) -> Route | None:
        """Its way; None where there is none."""
        ...


def bundles(site: Site, cables: Iterable[Routed], classes: Mapping[str, tuple[int, int]]) -> Mapping[str, Bundle]:
    """Every bundle of a site by segment id, segments that hold four-pair cable only.

    Args:
        site: the site.
        cables: its cables on pathways.
        classes: PoE class of the port and class granted, by subject of the cable.
    """
    found: dict[str, list[FourPairCable]] = {}
    for cable in cables:
        kind = site.cable_type.get(cable.cable_type)
        if kind is None or kind.kind != "category" or cable.route is None:
            continue
        port, granted = classes.get(cable.subject, (None, None))
        held = FourPairCable(kind.id, awg_of(kind.gauge or ""), port, granted)
        for segment in dict.fromkeys(cable.route.segments):
            found.setdefault(segment, []).append(held)
    stretches: Mapping[str, PathwaySegment] = site.pathway_segment
    return MappingProxyType(
        {name: Bundle(name, tuple(held), stretches[name].bundle_cables) for name, held in found.items()}
    )


def awg_of(gauge: str) -> int:
    """The number of an AWG size; 0 for a size in mm², which the tables of bundles and cords do not know."""
    number, _, unit = gauge.partition(" ")
    return int(number) if unit == "AWG" else _NOT_AWG


def _rise_k(cable: FourPairCable, size: int) -> float:
    if cable.granted_class is None:
        return 0.0
    row = POE_CLASSES[cable.granted_class]
    return bundle_rise_k(cable.awg, size, row.i_conductor_a, half_loaded=row.pairs_powered == 2)


def _two_pairs(poe_class: int | None) -> bool:
    return poe_class is None or POE_CLASSES[poe_class].pairs_powered == 2
