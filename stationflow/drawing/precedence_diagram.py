"""Precedence diagram of one line as Graphviz source."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from stationflow.balancing.precedence import columns
from stationflow.drawing.diagram_parts import (
    add_arrows,
    add_nodes,
    label_of,
    legend_rows,
    new_graph,
    node_form,
    nodes_size,
    station_of_task,
    task_nodes,
)
from stationflow.drawing.diagram_work import DiagramWork, drawn_arrows
from stationflow.drawing.text_size import plain
from stationflow.model import StationLoad
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    from graphviz import Digraph

WISHED_ASPECT = 1.5
"""Width over height that a page or screen holds best."""
WIDEST_ACROSS = 4.0
"""Up to this width over height a diagram runs from left to right, as people expect it."""
SHORT = 12.0
"""So does one of up to this many inches, whatever its height."""
NARROWEST = 0.25
"""Below this width over height a diagram from the top down is folded into bands side by side."""


def precedence_diagram(
    work: DiagramWork,
    names: Mapping[str, str],
    *,
    stations: Sequence[StationLoad] | None = None,
    longest_path: bool = True,
    unit: TimeUnit = TimeUnit.SECOND,
    title: str = "",
) -> str:
    """Return the precedence diagram of one line as Graphviz source.

    Tasks stand in layers, each with number, time and short name; arrows that
    follow from others are left out. The diagram runs from left to right; a
    long one runs from the top down where that comes nearer to the shape of a page,
    and a long chain is folded into bands side by side.

    Parameters
    ----------
    work
        The work of the line; a `DraftWork` where the line cannot be balanced yet.
    names
        Name of each task by number.
    stations
        Stations of a plan: their tasks get a colour and the station's number.
    longest_path
        Whether the longest path by time is marked.
    unit
        Unit in which times are shown (not for published instances).
    title
        Heading of the legend.

    Returns
    -------
    str
        Graphviz source for `render_diagram`.
    """
    arrows = drawn_arrows(work, with_longest_path=longest_path)
    form = node_form(len(work.numbers))
    station = station_of_task(stations)
    nodes = task_nodes(work, names, station, form, unit)
    size = nodes_size(nodes, form)
    column = columns(arrows.predecessors)
    rankdir, bands = _shape(column, size)
    graph = new_graph("precedence", rankdir, form)
    rows = ([plain(title)] if title else []) + legend_rows(work, arrows, station, unit)
    if not nodes:
        rows.append("There are no tasks yet.")
    graph.attr(label=label_of(rows, "\\l"))
    add_nodes(graph, nodes, set(arrows.path), size)
    band = _band_of_task(column, bands)
    _add_bands(graph, band, bands)
    add_arrows(graph, arrows, band=band)
    return str(graph.source)


def _shape(column: Sequence[int], size: tuple[float, float]) -> tuple[str, int]:
    """Return the direction that comes nearer to the shape of a page, and the number of bands."""
    in_column = Counter(column)
    long, wide = max(len(in_column), 1), max(in_column.values(), default=1)
    width, height = size
    across = long * (width + 0.4) / (wide * (height + 0.15))
    down = wide * (width + 0.15) / (long * (height + 0.4))
    if across <= WIDEST_ACROSS or long * (width + 0.4) <= SHORT:
        return "LR", 1
    if _distance(across) <= _distance(down):
        return "LR", 1
    # Each band makes the diagram as much wider as it makes it shorter; the arrows from the foot
    # of one band to the head of the next take about half the width again.
    return "TB", 1 if down >= NARROWEST else round(math.sqrt(WISHED_ASPECT / 2 / down))


def _distance(aspect: float) -> float:
    """Return how far an aspect is from the wished one, as a factor."""
    return max(aspect / WISHED_ASPECT, WISHED_ASPECT / aspect)


def _band_of_task(column: Sequence[int], bands: int) -> list[int]:
    """Return the band of each task: equally many layers in each."""
    layers = math.ceil(max(column, default=1) / bands)
    return [(c - 1) // layers for c in column]


def _add_bands(graph: "Digraph", band: Sequence[int], bands: int) -> None:
    """Keep the tasks of each band together by a frame that is not seen."""
    if bands == 1:
        return
    for number in range(bands):
        with graph.subgraph(name=f"cluster_{number}") as frame:
            frame.attr(style="invis")
            for position, own in enumerate(band):
                if own == number:
                    frame.node(f"n{position}")
