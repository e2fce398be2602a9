"""What conducts joins nodes to parts, each named by its first node: compared with networkx, case by case."""

from __future__ import annotations

import networkx as nx
import numpy as np

from riserkit.circuits.topology import Branch, Topology
from riserkit.troubleshooting.connected import parts_of

NODES, BRANCHES, CASES = 40, 70, 300


def test_parts_are_those_of_the_graph_of_what_conducts() -> None:
    """Some branches conduct always, some never, some now and then; a branch may have both ends on one node."""
    chance = np.random.default_rng(4)
    ends = chance.integers(0, NODES, (BRANCHES, 2)).tolist()
    branches = tuple(Branch(f"W{k}", None, a, b, k) for k, (a, b) in enumerate(ends))
    names = tuple(f"X.{n}" for n in range(NODES))
    topology = Topology(names, 0, (), branches, (), (), (), ())
    often = chance.choice([0.0, 0.05, 0.5, 1.0], BRANCHES)
    firm = chance.random((BRANCHES, CASES)) < often[:, None]
    found = parts_of(topology, firm)
    for case in range(CASES):
        graph: nx.Graph[int] = nx.empty_graph(NODES)
        graph.add_edges_from(end for end, conducts in zip(ends, firm[:, case], strict=True) if conducts)
        first = {node: min(part) for part in nx.connected_components(graph) for node in part}
        assert found[:, case].tolist() == [first[node] for node in range(NODES)]
