"""Random networks and statements, the same for the same seed."""

import networkx as nx
import numpy as np

from registry.methods.sequence import Statement
from registry.methods.sequence.network import Edge


def random_edges(rng: np.random.Generator) -> tuple[int, list[Edge]]:
    """A network of 2 to 12 moments; about half of them contradict themselves."""
    size = int(rng.integers(2, 13))
    pairs = rng.integers(0, size, (int(rng.integers(1, 3 * size)), 2))
    days = rng.integers(-5, 10, len(pairs))
    return size, [Edge(int(t), int(h), int(d)) for (t, h), d in zip(pairs, days, strict=True) if t != h]


def as_graph(size: int, edges: list[Edge]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(size))
    for tail, head, days, _ in edges:
        known = graph.get_edge_data(tail, head, {"weight": np.inf})["weight"]
        graph.add_edge(tail, head, weight=min(days, known))
    return graph


def random_statements(rng: np.random.Generator, variants: str, number: int) -> list[Statement]:
    kinds = ["before", "before", "ended_by", "alongside", "returned", "not_before", "not_after", "coded"]
    said = []
    for index in range(number):
        kind = str(rng.choice(kinds))
        first, other = (str(v) for v in rng.choice(list(variants), 2, replace=False))
        earliest, latest = sorted(int(day) for day in rng.integers(1, 30, 2))
        related = kind in ("before", "ended_by", "alongside", "returned")
        said.append(
            Statement(
                id=f"s{index:02}",
                kind=kind,
                variants=(first, other) if related else (first,),
                earliest=earliest if kind in ("not_before", "coded") else None,
                latest=latest if kind in ("not_after", "coded") else None,
                dates=str(rng.choice(["production", "production", "shipping"])),
                support=float(rng.integers(1, 6)),
            )
        )
    return said
