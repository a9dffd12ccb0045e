"""Precedence diagram of one line as Graphviz source."""

from collections import Counter
from collections.abc import Mapping, Sequence

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

WISHED_ASPECT = 1.5
"""Width over height that a page or screen holds best."""
WIDEST_ACROSS = 4.0
"""Up to this width over height a diagram runs from left to right, as people expect it."""
SHORT = 12.0
"""So does one of up to this many inches, whatever its height."""


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
    long one runs from the top down where that comes nearer to the shape of a page.

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
    rankdir = _rankdir(arrows.predecessors, size)
    graph = new_graph("precedence", rankdir, form)
    rows = ([plain(title)] if title else []) + legend_rows(work, arrows, station, unit)
    if not nodes:
        rows.append("There are no tasks yet.")
    graph.attr(label=label_of(rows, "\\l"))
    add_nodes(graph, nodes, set(arrows.path), size)
    add_arrows(graph, arrows)
    return str(graph.source)


def _rankdir(predecessors: Sequence[Sequence[int]], size: tuple[float, float]) -> str:
    """Return the direction that comes nearer to the shape of a page."""
    in_column = Counter(columns(predecessors))
    long, wide = max(len(in_column), 1), max(in_column.values(), default=1)
    width, height = size
    across = long * (width + 0.4) / (wide * (height + 0.15))
    down = wide * (width + 0.15) / (long * (height + 0.4))
    if across <= WIDEST_ACROSS or long * (width + 0.4) <= SHORT:
        return "LR"
    return "LR" if _distance(across) <= _distance(down) else "TB"


def _distance(aspect: float) -> float:
    """Return how far an aspect is from the wished one, as a factor."""
    return max(aspect / WISHED_ASPECT, WISHED_ASPECT / aspect)
