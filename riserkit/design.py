"""The design: all that follows from a site. Each stage is a plain function of frozen values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from riserkit.errors import RiserkitError
from riserkit.kept import NOTHING_KEPT, KeptWork
from riserkit.model.opening import Opening
from riserkit.model.parts import Controller, Lock, Splitter
from riserkit.model.site import Site
from riserkit.network.bundles import Bundle, bundles
from riserkit.network.heat import PathwayHeat
from riserkit.network.plan import NetworkPlan, plan_network
from riserkit.network.routes import Router
from riserkit.network.values import CableRun, Labels, Placement
from riserkit.proofs.asked import ibc_edition
from riserkit.proofs.book import Entry, ProofBook, Unproven
from riserkit.proofs.values import DoorProof
from riserkit.wiring.arrangement import Arrangement
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.as_built import as_built_wiring
from riserkit.wiring.cables import DesignCable, door_cables, pathway_cables
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.data_power import PoweredLink, classes_on_cables, feed_of, solve_links
from riserkit.wiring.needs import NeedReader
from riserkit.wiring.values import DoorWiring


@dataclass(frozen=True, slots=True)
class DoorDesign:
    """All of one opening's paper is read off this. `book` holds the proofs that doors of one site share."""

    opening: Opening
    placement: Placement | None
    cable: CableRun | None
    link: PoweredLink | None
    wiring: DoorWiring
    book: ProofBook | None = field(default=None, compare=False, repr=False)

    @property
    def mark(self) -> str:
        """The opening's mark."""
        return self.opening.mark

    @property
    def subject(self) -> tuple[str, str]:
        """As a finding about it names it."""
        return "opening", self.mark

    @property
    def proof(self) -> DoorProof | Unproven:
        """What is proven of its circuit, or why nothing is. Solved when first asked for, once for all doors wired alike."""
        return self.book.proof(self.mark) if self.book else Unproven(self.mark, "it is in no book of proofs")


@dataclass(frozen=True)
class Design:
    """A site with everything worked out. `doors` stand in the order of the site's openings.

    `arrangements` are those that were considered, the shipped ones and those of plugins; `kept` is what an earlier build
    worked out, for all that is worked out of the design.
    """

    site: Site
    router: Router
    doors: tuple[DoorDesign, ...]
    backbone: tuple[CableRun, ...]
    labels: Labels
    not_placed: tuple[str, ...] = field(default=())
    arrangements: tuple[Arrangement, ...] = field(default=SHIPPED_ARRANGEMENTS, repr=False)
    kept: KeptWork = field(default=NOTHING_KEPT, compare=False, repr=False)

    @cached_property
    def door(self) -> Mapping[str, DoorDesign]:
        """Door designs by mark."""
        return MappingProxyType({d.mark: d for d in self.doors})

    @cached_property
    def pathway_cables(self) -> tuple[DesignCable, ...]:
        """Every cable that runs over pathways: PoE cables, backbone, and lock power from supplies elsewhere."""
        horizontal = (door.cable for door in self.doors if door.cable is not None)
        wirings = (door.wiring for door in self.doors)
        return pathway_cables(self.site, self.router, (*horizontal, *self.backbone), wirings)

    @cached_property
    def door_cables(self) -> tuple[DesignCable, ...]:
        """Every cable between devices at one door, doors in order."""
        return tuple(door_cables(self.site, (door.wiring for door in self.doors)))

    @property
    def cables(self) -> tuple[DesignCable, ...]:
        """Every cable of the design: those over pathways, then those at doors."""
        return self.pathway_cables + self.door_cables

    @cached_property
    def bundles(self) -> Mapping[str, Bundle]:
        """Four-pair cables that lie together, by pathway segment."""
        placements = {door.mark: door.placement for door in self.doors if door.placement is not None}
        classes = classes_on_cables(self.site, placements, (door.wiring for door in self.doors))
        return bundles(self.site, self.pathway_cables, classes)

    @cached_property
    def heat(self) -> PathwayHeat:
        """Temperatures along pathways, bundles included."""
        return PathwayHeat(self.site, self.bundles)

    @cached_property
    def doors_of_closet(self) -> Mapping[str, tuple[DoorDesign, ...]]:
        """Doors by closet id, every closet of the site present."""
        found: dict[str, list[DoorDesign]] = {closet.id: [] for closet in self.site.closets}
        for door in self.doors:
            if door.placement is not None:
                found[door.placement.closet].append(door)
        return MappingProxyType({closet: tuple(doors) for closet, doors in found.items()})


def design(site: Site, more_arrangements: Sequence[Arrangement] = (), kept: KeptWork = NOTHING_KEPT) -> Design:
    """Work everything out: network, wiring, power.

    Args:
        site: what the user states.
        more_arrangements: wiring arrangements of plugins, considered with the shipped ones.
        kept: what an earlier build worked out, which need not be worked out again.

    Raises:
        RiserkitError: labels cannot name all there is, or two arrangements have one name.
    """
    plan = plan_network(site, asked_classes(site))
    wirings = wire(site, plan, site.openings, more_arrangements)
    if site.as_built is not None:
        at = Temperatures.of(site.info)
        wirings = tuple(as_built_wiring(wiring, site.as_built, at) for wiring in wirings)
    return Design(
        site=site,
        router=plan.router,
        doors=_doors(site, plan, wirings, kept),
        backbone=plan.backbone,
        labels=plan.labels,
        not_placed=plan.not_placed,
        arrangements=every_arrangement(more_arrangements),
        kept=kept,
    )


def wire(
    site: Site,
    plan: NetworkPlan,
    openings: Sequence[Opening],
    more_arrangements: Sequence[Arrangement] = (),
    *,
    everything: bool = False,
) -> tuple[DoorWiring, ...]:
    """The wiring of these openings; `everything` judges also what comes after the first feasible candidate."""
    reader = NeedReader(site, plan.router.route)
    needs = [
        reader.need(o, plan.placements.get(o.mark), plan.horizontal.get(o.mark), _port_label(plan, o.mark))
        for o in openings
    ]
    at = Temperatures.of(site.info)
    return choose(needs, every_arrangement(more_arrangements), at, everything=everything)


def wire_openings(
    site: Site, openings: Sequence[Opening], more_arrangements: Sequence[Arrangement] = (), *, everything: bool = False
) -> tuple[DoorWiring, ...]:
    """As `wire`, for whoever wants the wiring of some openings and nothing else of a design."""
    return wire(site, plan_network(site, asked_classes(site)), openings, more_arrangements, everything=everything)


def _port_label(plan: NetworkPlan, mark: str) -> str:
    return plan.labels.port_of(plan.placements.get(mark))


def every_arrangement(more: Sequence[Arrangement] = ()) -> tuple[Arrangement, ...]:
    """The shipped arrangements and these.

    Raises:
        RiserkitError: two of one name.
    """
    found = {a.name: a for a in SHIPPED_ARRANGEMENTS}
    for arrangement in more:
        if arrangement.name in found:
            raise RiserkitError(
                f"two wiring arrangements are called {arrangement.name}; give the plugin's its own name"
            )
        found[arrangement.name] = arrangement
    return tuple(found.values())


def asked_classes(site: Site) -> dict[str, int]:
    """PoE class that the powered device at each opening asks for, by mark, where its part states one."""
    classes = {}
    for opening in site.openings:
        part = site.part.get(opening.splitter or opening.controller)
        if isinstance(part, (Controller, Splitter)) and part.poe_class is not None:
            classes[opening.mark] = part.poe_class
    return classes


def _doors(site: Site, plan: NetworkPlan, wirings: Sequence[DoorWiring], kept: KeptWork) -> tuple[DoorDesign, ...]:
    feeds = {}
    heat = _heat(site, plan, wirings)
    for wiring in wirings:
        placement, cable = plan.placements.get(wiring.mark), plan.horizontal.get(wiring.mark)
        feed = feed_of(site, placement, cable, wiring, heat) if placement and cable else None
        if feed is not None:
            feeds[wiring.mark] = feed
    links = dict(zip(feeds, solve_links(tuple(feeds.values())), strict=True))
    book = proof_book(site, wirings, kept)
    return tuple(
        DoorDesign(
            opening=opening,
            placement=plan.placements.get(opening.mark),
            cable=plan.horizontal.get(opening.mark),
            link=links.get(opening.mark),
            wiring=wiring,
            book=book,
        )
        for opening, wiring in zip(site.openings, wirings, strict=True)
    )


def _heat(site: Site, plan: NetworkPlan, wirings: Sequence[DoorWiring]) -> PathwayHeat:
    cables = pathway_cables(site, plan.router, (*plan.horizontal.values(), *plan.backbone), wirings)
    return PathwayHeat(site, bundles(site, cables, classes_on_cables(site, plan.placements, wirings)))


def proof_book(site: Site, wirings: Sequence[DoorWiring], kept: KeptWork = NOTHING_KEPT) -> ProofBook:
    """The proofs of these doors, none of them solved yet."""
    entries = []
    for wiring in wirings:
        opening = site.opening[wiring.mark]
        lock = site.part.get(opening.lock)
        entries.append(Entry(opening, lock if isinstance(lock, Lock) else None, wiring))
    info = site.info
    return ProofBook(entries, (info.coldest_c, info.pathway_c), ibc_edition(info.building_code), kept)
