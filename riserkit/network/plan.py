"""The network stage as one: from a site to routes, placements, cables and labels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import networkx as nx

from riserkit.model.site import Site
from riserkit.network.labels.issue import issue_labels
from riserkit.network.placement import NOTHING_NEEDED, place
from riserkit.network.routes import Router
from riserkit.network.runs import backbone_runs, horizontal_runs, labelled
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
