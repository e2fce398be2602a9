"""What hangs on what: closets, switches, openings and supplies as a graph, cables as its edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import networkx as nx

from riserkit.model.site import Site
from riserkit.network.values import CableRun, Placement

ThingKey = tuple[Literal["closet", "switch", "opening", "supply"], str]


@dataclass(frozen=True, slots=True)
class Link:
    """An edge of the topology.

    Args:
        kind: `located` (a switch or supply at its place), `feeds` (a supply and the opening whose lock it feeds),
            `backbone` or `horizontal`.
        cables: the cables between the two, in order; none for the first two kinds.
        port: the switch port of a horizontal cable, 0 without one.
    """

    kind: Literal["located", "feeds", "backbone", "horizontal"]
    cables: tuple[CableRun, ...] = ()
    port: int = 0


def topology(site: Site, placements: Mapping[str, Placement], cables: Iterable[CableRun]) -> nx.Graph[ThingKey]:
    """The site's topology, frozen. Nodes are (kind, id) in the order of the input; each edge holds a `Link` as `link`.

    A horizontal cable ends at its switch, or at the closet when it has no port.
    """
    graph: nx.Graph[ThingKey] = nx.Graph()
    graph.add_nodes_from(("closet", closet.id) for closet in site.closets)
    graph.add_nodes_from(("switch", switch.id) for switch in site.switches)
    graph.add_nodes_from(("supply", supply.id) for supply in site.supplies)
    graph.add_nodes_from(("opening", opening.mark) for opening in site.openings)
    _add_locations(graph, site)
    for cable in cables:
        _add_cable(graph, cable, placements.get(cable.to_id))
    frozen: nx.Graph[ThingKey] = nx.freeze(graph)
    return frozen


def link(edge: Mapping[str, Any]) -> Link:
    """The link that an edge's data holds."""
    found: Link = edge["link"]
    return found


def cables_of(graph: nx.Graph[ThingKey], kind: Literal["backbone", "horizontal"]) -> Iterator[CableRun]:
    """The cables of one kind, those of an opening in the order of the openings."""
    start = "opening" if kind == "horizontal" else "closet"
    seen: set[str] = set()
    for node in graph.nodes:
        for edge in graph.adj[node].values() if node[0] == start else ():
            for cable in link(edge).cables if link(edge).kind == kind else ():
                if cable.subject not in seen:
                    seen.add(cable.subject)
                    yield cable


def _add_locations(graph: nx.Graph[ThingKey], site: Site) -> None:
    for switch in site.switches:
        graph.add_edge(("closet", switch.closet), ("switch", switch.id), link=Link("located"))
    for opening in site.openings:
        if opening.supply:
            graph.add_edge(("supply", opening.supply), ("opening", opening.mark), link=Link("feeds"))
    for supply in site.supplies:
        place: ThingKey = ("closet", supply.closet) if supply.closet else ("opening", supply.opening)
        graph.add_edge(place, ("supply", supply.id), link=Link("located"))


def _add_cable(graph: nx.Graph[ThingKey], cable: CableRun, placement: Placement | None) -> None:
    if cable.kind == "backbone":
        a: ThingKey = ("closet", cable.from_id)
        b: ThingKey = ("closet", cable.to_id)
        before = link(graph.edges[a, b]).cables if graph.has_edge(a, b) else ()
        graph.add_edge(a, b, link=Link("backbone", (*before, cable)))
        return
    port = placement.port if placement else 0
    start: ThingKey = ("switch", placement.switch) if placement and placement.switch else ("closet", cable.from_id)
    graph.add_edge(start, ("opening", cable.to_id), link=Link("horizontal", (cable,), port))
