"""The tree of lines: which line feeds which, and how many units of it the fed line takes."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any

from stationflow.model import Line, Product
from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTree:
    """The lines of a product by name, and where each leads."""

    lines: Mapping[str, Line]  # the lines in listed order; of lines named alike the first
    # for each line itself and the lines it feeds, directly or through others, nearest first. A way
    # ends at the main line, before an unknown line, or where a circle of lines comes round.
    ways: Mapping[str, tuple[Line, ...]]

    def way_to_main(self, name: str) -> tuple[Line, ...]:
        """Return the lines from this one to the main line; empty: it does not lead there."""
        way = self.ways.get(name, ())
        return way if way and way[-1].is_main else ()

    def fed(self, name: str) -> tuple[str, ...]:
        """Return the names of the lines a line feeds, directly or through others."""
        return tuple(line.name for line in self.ways[name][1:])

    def circle(self, name: str) -> tuple[str, ...]:
        """Return the names of the lines of the circle that this line is on; empty: on none."""
        way = self.ways[name]
        return tuple(line.name for line in way) if way[-1].feeds == name else ()

    def units_per_product(self, name: str) -> Decimal | None:
        """Return how many units of a line go into one product; None: it leads nowhere.

        The quantities are multiplied from the line to the main line. Replacement of damaged
        units is not counted: it is not in the product.
        """
        units = Decimal(1)
        for line in self.way_to_main(name)[:-1]:
            units *= exact(line.quantity)
        return units if self.way_to_main(name) and units.is_finite() else None


def line_tree(product: Product) -> LineTree:
    """Return the tree of a product's lines."""
    return _tree(product.lines)


def units_per_start(line: Line) -> Fraction:
    """Return the units of a feeder that one start on the fed line takes, replacements included."""
    return Fraction(exact(line.quantity)) * (1 + Fraction(exact(line.replacement_share)))


@lru_cache(maxsize=64)
def _tree(listed: tuple[Line, ...]) -> LineTree:
    import networkx as nx

    lines = {line.name: line for line in reversed(listed)}
    lines = {line.name: lines[line.name] for line in listed}
    graph: Any = nx.DiGraph()
    graph.add_nodes_from(lines)
    graph.add_edges_from((n, line.feeds) for n, line in lines.items() if line.feeds in lines)
    # A line feeds one other at most, so that all it leads to is one way, in order.
    ways = {name: tuple(lines[n] for n in nx.dfs_preorder_nodes(graph, name)) for name in lines}
    return LineTree(lines=lines, ways=ways)
