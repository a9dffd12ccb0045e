"""The tree of lines: which line feeds which, and how many units of it the fed lines take."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any

from stationflow.model import FurtherJoin, Line, Product
from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTree:
    """The lines of a product by name, and where each leads. A feeder may serve several lines."""

    lines: Mapping[str, Line]  # the lines in listed order; of lines named alike the first
    # where the units of each line are consumed: its own join first, then the further ones; none
    # for the main line
    joins: Mapping[str, tuple[FurtherJoin, ...]]
    # for each line itself and the lines it feeds, directly or through others, each before those it
    # feeds. Unknown lines are left out; in a circle of lines each stands once.
    ways: Mapping[str, tuple[Line, ...]]
    circles: Mapping[str, tuple[str, ...]]  # of each line on a circle: the names along it

    def way_to_main(self, name: str) -> tuple[Line, ...]:
        """Return the line and all it feeds, the main line last; empty: one leads elsewhere."""
        way = self.ways.get(name, ())
        return () if self.unknown(name) or any(each.name in self.circles for each in way) else way

    def unknown(self, name: str) -> tuple[str, str] | None:
        """Return the first line on the way that feeds an unknown one, and that name; or None."""
        told = (
            (line.name, join.feeds)
            for line in self.ways.get(name, ())
            for join in self.joins[line.name]
            if join.feeds not in self.lines
        )
        return next(told, None)

    def fed(self, name: str) -> tuple[str, ...]:
        """Return the names of the lines a line feeds, directly or through others."""
        return tuple(line.name for line in self.ways[name][1:])

    def feeders(self, name: str) -> tuple[FurtherJoin, ...]:
        """Return the joins of a line: what is consumed there, and at which task."""
        return tuple(join for joins in self.joins.values() for join in joins if join.feeds == name)

    def circle(self, name: str) -> tuple[str, ...]:
        """Return the names of the lines of the circle that this line is on; empty: on none."""
        return self.circles.get(name, ())

    def units_per_product(self, name: str) -> Decimal | None:
        """Return how many units of a line go into one product; None: it leads nowhere.

        The quantities are multiplied from the line to the main line and added over its joins.
        Replacement of damaged units is not counted: it is not in the product.
        """
        units: dict[str, Decimal] = {}
        for line in reversed(self.way_to_main(name)):
            taken = (units[j.feeds] * exact(j.quantity) for j in self.joins[line.name])
            units[line.name] = Decimal(1) if line.is_main else sum(taken, Decimal(0))
        found = units.get(name)
        return found if found is not None and found.is_finite() else None


def line_tree(product: Product) -> LineTree:
    """Return the tree of a product's lines."""
    return _tree(product.lines, product.joins)


def own_join(line: Line) -> FurtherJoin:
    """Return the join that is entered with a feeder, as the further ones are."""
    return FurtherJoin(
        line=line.name,
        feeds=line.feeds,
        join=line.join,
        quantity=line.quantity,
        replacement_share=line.replacement_share,
    )


def units_per_start(join: FurtherJoin | Line) -> Fraction:
    """Return the units of a feeder that one start on the fed line takes, replacements included."""
    return Fraction(exact(join.quantity)) * (1 + Fraction(exact(join.replacement_share)))


@lru_cache(maxsize=64)
def _tree(listed: tuple[Line, ...], further: tuple[FurtherJoin, ...]) -> LineTree:
    import networkx as nx

    lines = {line.name: line for line in reversed(listed)}
    lines = {line.name: lines[line.name] for line in listed}
    joins = {
        name: (
            *(() if line.is_main else (own_join(line),)),
            *(join for join in further if join.line == name),
        )
        for name, line in lines.items()
    }
    graph: Any = nx.DiGraph()
    graph.add_nodes_from(lines)
    graph.add_edges_from((n, j.feeds) for n in lines for j in joins[n] if j.feeds in lines)
    circles = {}
    for together in nx.strongly_connected_components(graph):
        for name in together:
            back = [n for n in graph[name] if n in together]
            if back:
                circles[name] = (name, *nx.shortest_path(graph, back[0], name)[:-1])
    ways = {}
    for name in lines:
        order = tuple(nx.dfs_preorder_nodes(graph, name))
        if any(graph.out_degree(n) > 1 for n in order) and circles.keys().isdisjoint(order):
            order = tuple(nx.topological_sort(graph.subgraph(order)))
        ways[name] = tuple(lines[n] for n in order)
    return LineTree(lines=lines, joins=joins, ways=ways, circles=circles)
