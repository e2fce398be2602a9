"""The network stage as one: from a site to routes, placements, labels, and the cables, horizontal and between closets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import networkx as nx

from riserkit.model.cabling import Run
from riserkit.model.site import Site
from riserkit.network.labels.issue import issue_labels
from riserkit.network.placement import NOTHING_NEEDED, place
from riserkit.network.routes import Router
from riserkit.network.stated import surest
from riserkit.network.topology import ThingKey, topology
from riserkit.network.values import CableRun, Labels, Placement


@dataclass(frozen=True)
class NetworkPlan:
    """All that the network stage yields.

    Args:
        router: routes, also those not taken.
        placements: by mark, in the order of the openings.
        not_placed: marks that no closet reaches.
        horizontal: cables by mark, of placed openings.
        backbone: cables between closets.
        labels: of everything.
        topology: what hangs on what, labelled cables as edges.
    """

    router: Router
    placements: Mapping[str, Placement]
    not_placed: tuple[str, ...]
    horizontal: Mapping[str, CableRun]
    backbone: tuple[CableRun, ...]
    labels: Labels
    topology: nx.Graph[ThingKey]


def plan_network(site: Site, needed_class: Mapping[str, int] = NOTHING_NEEDED) -> NetworkPlan:
    """Work out a site's network.

    Args:
        site: the site.
        needed_class: PoE class that the powered device at an opening asks for, by mark, where known.

    Raises:
        LabelError: more closets on a floor, or floors in a building, than labels can name.
    """
    router = Router.of(site)
    placements, not_placed = place(site, router, needed_class)
    horizontal, backbone = horizontal_runs(site, router, placements), backbone_runs(site, router)
    # Labels need to know what there is before it can carry them, hence the topology of unlabelled cables first.
    labels = issue_labels(site, topology(site, placements, (*backbone, *horizontal)))
    horizontal, backbone = labelled(horizontal, labels.cable), labelled(backbone, labels.cable)
    graph = topology(site, placements, (*backbone, *horizontal))
    by_mark = MappingProxyType({cable.to_id: cable for cable in horizontal})
    return NetworkPlan(router, placements, not_placed, by_mark, backbone, labels, graph)


def horizontal_runs(site: Site, router: Router, placements: Mapping[str, Placement]) -> tuple[CableRun, ...]:
    """One cable per placed opening, in the order of the openings, not yet labelled.

    The cable type is that of the run record, else the opening's own, else the site's.
    """
    return tuple(_horizontal(site, router, placements[o.mark]) for o in site.openings if o.mark in placements)


def backbone_runs(site: Site, router: Router) -> tuple[CableRun, ...]:
    """Cables between closets, not yet labelled: one per `fed_from`, and those that the site's runs add.

    The cable type is that of the run record, else that of the closet fed, else the site's.
    """
    feeds = [(closet.fed_from, closet.id) for closet in site.closets if closet.fed_from]
    fed = {(min(pair), max(pair)) for pair in feeds}
    pairs = [*feeds, *(pair for pair in router.runs.backbone if pair not in fed)]
    return tuple(cable for pair in pairs for cable in _backbone(site, router, pair))


def labelled(cables: Iterable[CableRun], labels: Mapping[str, str]) -> tuple[CableRun, ...]:
    """The cables with their labels, taken from `labels` by subject."""
    return tuple(replace(cable, label=labels[cable.subject]) for cable in cables)


def _horizontal(site: Site, router: Router, placement: Placement) -> CableRun:
    mark, closet = placement.mark, placement.closet
    runs = router.runs.between(closet, mark)
    run = surest(runs) or next(iter(runs), None)
    stated_type = next((r.cable_type for r in (run, *runs) if r is not None and r.cable_type), "")
    cable_type = stated_type or site.opening[mark].horizontal_cable or site.info.horizontal_cable
    route = router.route(closet, mark)
    return CableRun(mark, "horizontal", closet, mark, cable_type, "", route, run.id if run else "")


def _backbone(site: Site, router: Router, pair: tuple[str, str]) -> Iterator[CableRun]:
    start, end = pair
    fed = site.closet[end]
    usual = (fed.backbone_cable if fed.fed_from == start else "") or site.info.backbone_cable
    for subject, run in _subjects(site, router, pair):
        cable_type = (run.cable_type if run else "") or usual
        route = router.backbone(start, end, run)
        yield CableRun(subject, "backbone", start, end, cable_type, "", route, run.id if run else "")


def _subjects(site: Site, router: Router, pair: tuple[str, str]) -> Iterator[tuple[str, Run | None]]:
    """Subjects of the cables between two closets.

    The plain `A>B` goes to the first run that has no label of its own on record, so that a run recorded later for a cable
    already labelled takes over that cable's label, and further runs never take it away.
    """
    plain = ">".join(pair)
    on_record = {issued.subject for issued in site.issued_labels if issued.kind == "cable"}
    runs = router.runs.between_closets(*pair)
    main = next((run for run in runs if f"{plain}>{run.id}" not in on_record), None)
    if main is not None or not runs:
        yield plain, main
    for run in runs:
        if run is not main:
            yield f"{plain}>{run.id}", run
