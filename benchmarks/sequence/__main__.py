"""The order of a release beside networkx: `python -m benchmarks.sequence`."""

from collections.abc import Callable
from time import process_time
from timeit import repeat

import networkx as nx
import numpy as np

from registry.methods.sequence import ReleaseOrder, Statement, Window, put_in_order, with_one_more
from registry.methods.sequence.moments import FIRST, Moments
from registry.methods.sequence.network import Edge, closure, direct

WINDOW = Window(0, 5000)


def seconds(run: Callable[[], object]) -> float:
    """Processor time, the best of five."""
    return min(repeat(run, timer=process_time, number=1, repeat=5))


def statements(rng: np.random.Generator, variants: list[str], number: int, wrong: int = 0) -> list[Statement]:
    """Statements that hold for variants made one after the other, every 50 days; `wrong` of them turned round."""
    said = []
    for index in range(number):
        early, late = sorted(int(place) for place in rng.choice(len(variants), 2, replace=False))
        if index < wrong:
            early, late = late, early
        kind = str(rng.choice(["before", "before", "ended_by", "seen"])) if index >= wrong else "before"
        if kind == "seen":
            said.append(Statement(f"s{index:04}", "seen", (variants[late],), latest=50 * late + 60))
        else:
            pair = (variants[early], variants[late])
            said.append(Statement(f"s{index:04}", kind, pair, support=float(rng.integers(1, 6))))
    return said


def constraints(variants: list[str], said: list[Statement]) -> tuple[Moments, list[Edge]]:
    moments = Moments(variants, said)
    edges = moments.background(WINDOW)
    edges += [edge for index, one in enumerate(said) for edge in moments.edges(one, index)]
    return moments, edges


def graph_of(size: int, edges: list[Edge]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(size))
    for tail, head, days, _ in sorted(edges, key=lambda edge: -edge.days):
        graph.add_edge(tail, head, weight=days)
    return graph


def against_networkx(rng: np.random.Generator, variants: list[str], number: int) -> None:
    said = statements(rng, variants, number)
    moments, edges = constraints(variants, said)
    order = put_in_order(variants, said, WINDOW)
    graph = graph_of(moments.size, edges)
    theirs = dict(nx.all_pairs_bellman_ford_path_length(graph))
    assert all(
        order.tightest[i, j] == theirs[i].get(j, np.inf)
        for i in range(moments.size)
        for j in range(moments.size)
    )
    everything = seconds(lambda: put_in_order(variants, said, WINDOW))
    paths = seconds(lambda: closure(direct(moments.size, edges)))
    bellman_ford = seconds(lambda: dict(nx.all_pairs_bellman_ford_path_length(graph)))
    matrix = seconds(lambda: nx.floyd_warshall_numpy(graph))
    print(
        f"{len(variants)} variants, {number} statements: all {everything * 1e3:.1f} ms, of it paths", end=" "
    )
    print(f"{paths * 1e3:.1f} ms; networkx, paths alone: Bellman-Ford {bellman_ford * 1e3:.1f} ms", end=" ")
    print(f"(x {bellman_ford / paths:.1f}), Floyd-Warshall {matrix * 1e3:.1f} ms (x {matrix / paths:.1f})")
    reduce_by_networkx(order)


def reduce_by_networkx(order: ReleaseOrder) -> None:
    before = order.before()
    graph = nx.DiGraph()
    graph.add_nodes_from(order.variants)
    graph.add_edges_from((order.variants[i], order.variants[j]) for i, j in np.argwhere(before).tolist())
    assert set(order.steps()) == set(nx.transitive_reduction(graph).edges)
    ours, theirs = seconds(order.steps), seconds(lambda: nx.transitive_reduction(graph))
    print(f"  reduction {ours * 1e3:.2f} ms, networkx {theirs * 1e3:.2f} ms (x {theirs / ours:.1f})")


def count_orders(rng: np.random.Generator) -> None:
    order = put_in_order(list("abcdefghi"), statements(rng, list("abcdefghi"), 8), WINDOW)
    graph = nx.DiGraph(order.steps())
    graph.add_nodes_from(order.variants)
    number = sum(1 for _ in nx.all_topological_sorts(graph))
    assert order.number_of_orders() == number
    ours = seconds(order.number_of_orders)
    theirs = seconds(lambda: sum(1 for _ in nx.all_topological_sorts(graph)))
    print(f"{number:,} orders of 9 variants: counted in {ours * 1e3:.2f} ms, listed by networkx", end=" ")
    print(f"in {theirs * 1e3:.0f} ms (x {theirs / ours:.0f})")
    twenty = [f"v{n}" for n in range(20)]
    fan = [Statement(str(n), "before", ("v0", variant)) for n, variant in enumerate(twenty[2:])]
    order = put_in_order(twenty, [*fan, Statement("x", "before", ("v1", "v2"))])
    counting = seconds(order.number_of_orders) * 1e3
    print(f"{order.number_of_orders():,} orders of 20 variants, near the worst case: {counting:.0f} ms")


def contradictions(rng: np.random.Generator) -> None:
    for size, number, wrong in ((10, 60, 2), (20, 200, 4), (40, 400, 6)):
        variants = [f"v{n}" for n in range(size)]
        said = statements(rng, variants, number, wrong)
        order = put_in_order(variants, said, WINDOW)
        assert order.conflict is not None
        took = seconds(lambda variants=variants, said=said: put_in_order(variants, said, WINDOW))  # type: ignore[misc]
        print(f"{size} variants, {number} statements, {wrong} turned round: conflict of", end=" ")
        print(
            f"{len(order.conflict.statements)} ({order.conflict.guarantee}), {len(order.dropped.statements)}",
            end=" ",
        )
        print(f"dropped ({'least' if order.dropped.is_least else 'greedy'}), {took * 1e3:.0f} ms")


def one_more(rng: np.random.Generator) -> None:
    """One release among so many: what it costs must not depend on the others."""
    variants = [f"v{n}" for n in range(12)]
    *said, last = statements(rng, variants, 80)
    afresh = seconds(lambda: put_in_order(variants, [*said, last], WINDOW))
    for releases in (1, 100, 1000):
        registry = [put_in_order(variants, said, WINDOW) for _ in range(releases)]
        grown = with_one_more(registry[releases // 2], last)
        assert np.array_equal(grown.tightest, put_in_order(variants, [*said, last], WINDOW).tightest)
        took = seconds(lambda registry=registry: with_one_more(registry[len(registry) // 2], last))  # type: ignore[misc]
        print(
            f"one more statement on 1 of {releases} releases: {took * 1e3:.2f} ms, afresh {afresh * 1e3:.2f} ms"
        )
        assert grown.moments.at("v0", "", FIRST) == 1


def main() -> None:
    rng = np.random.default_rng(6)
    for size, number in ((8, 40), (20, 150), (60, 500)):
        against_networkx(rng, [f"v{n}" for n in range(size)], number)
    count_orders(rng)
    contradictions(rng)
    one_more(rng)


if __name__ == "__main__":
    main()
