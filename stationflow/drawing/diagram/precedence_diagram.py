"""Precedence diagram of one line as Graphviz source."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING

from stationflow.drawing.diagram import diagram_parts as parts
from stationflow.drawing.diagram.diagram_grid import PAGE, Room, task_grid
from stationflow.drawing.diagram.diagram_lanes import Placed, placed_diagram
from stationflow.drawing.diagram.diagram_parts import NodeForm
from stationflow.drawing.diagram.diagram_work import (
    DiagramWork,
    DrawnArrows,
    drawn_arrows,
    shown_time,
)
from stationflow.drawing.text_size import text_width
from stationflow.model import Station
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    from graphviz import Digraph

CORNER = 3.0  # radius of the corners of arrows, in points
HEAD = 6.0  # length of an arrowhead, in points
UNDER = 10.0  # space between the diagram and the lines that explain it, in points


def precedence_diagram(
    work: DiagramWork,
    names: Mapping[str, str] | Sequence[str],
    *,
    stations: Sequence[Station] | None = None,
    unit: TimeUnit = TimeUnit.SECOND,
    title: str = "",
    room: Room | None = None,
) -> str:
    """Return the precedence diagram of one line as Graphviz source.

    Tasks stand in layers, each with number, time and short name; arrows that
    follow from others are left out. The diagram runs from left to right, folded
    into bands like lines of text where it is long, so that it has the shape of a page.

    `names` are by number, or one for each task in the order of the work, since a draft may
    have several tasks of one number. Tasks of `stations` get a colour and the station's number.
    The times of published instances have no unit. `title` is the heading of the legend. `room`:
    where it is read on a screen, up to 60 tasks moved up and down only; None: on a page.
    """
    arrows = drawn_arrows(work)
    station = parts.station_of_task(stations)
    if isinstance(names, Mapping):
        names = [names.get(number, "") for number in work.numbers]
    usual = parts.node_form(len(work.numbers))
    if room and usual is not parts.ROOMY:  # too many for one glance: drawn to be seen whole
        room = replace(room, is_moved_down=False)
    rows = ([one_line(title)] if title else []) + _legend(work, arrows, station, unit)
    graph = parts.new_graph("precedence", "LR", usual)
    if not names:
        graph.attr(label=parts.label_of([*rows, "There are no tasks yet."], "\\l"))
        return str(graph.source)
    tried = []
    for form in (usual, parts.NARROW) if room and usual is parts.ROOMY else (usual,):
        nodes = parts.task_nodes(work, names, station, form, unit)
        size = parts.nodes_size(nodes, form)
        placed = _placed(arrows, size, room or PAGE)
        tried.append((_too_large(placed, room or PAGE), form, nodes, size, placed))
    _, form, nodes, size, placed = min(tried, key=itemgetter(0))
    # Everything has its place: nop2 is the Graphviz layout that only draws.
    graph.attr(layout="nop2", outputorder="edgesfirst")
    if rows:
        _add_legend(graph, rows, form)
    parts.add_nodes(graph, nodes, set(arrows.path), size, centres=placed.centres)
    routes = {arrow: _spline(way) for arrow, way in placed.routes.items()}
    parts.add_arrows(graph, arrows, routes=routes, numbers=work.numbers)
    return str(graph.source)


def _too_large(placed: Placed, room: Room) -> int:
    """Return how ill a diagram fits a room: 0 it is seen whole, 1 it is moved down, 2 sideways."""
    if placed.width > room.width:
        return 2
    return int(placed.height > room.height)


def _placed(arrows: DrawnArrows, size: tuple[float, float], room: Room) -> Placed:
    """Return where nodes of one size in inches stand and arrows run."""
    points = (size[0] * parts.POINTS_PER_INCH, size[1] * parts.POINTS_PER_INCH)
    drawn = (*arrows.plain, *arrows.circle)
    grid = task_grid(arrows.predecessors, arrows.plain, points, room)
    path = set(zip(arrows.path, arrows.path[1:], strict=False))
    return placed_diagram(grid, drawn, points, path.intersection(drawn))


def _legend(
    work: DiagramWork, arrows: DrawnArrows, stations: Mapping[str, int], unit: TimeUnit
) -> list[str]:
    length = shown_time(work, sum(work.times[p] or 0 for p in arrows.path), unit)
    coloured = "S1, S2 ...: station; tasks of one station have one colour."
    rows = parts.legend_rows(
        [arrows],
        f"Thick outline and arrows: longest path by time, {length}.",
        coloured if stations else "",
    )
    return rows + ["no time: not yet timed; counted as 0."] * (None in work.times)


def _add_legend(graph: "Digraph", rows: Sequence[str], form: NodeForm) -> None:
    """Add the lines that explain the marks, below the diagram at its left edge."""
    points = form.points + parts.LEGEND_MORE
    width = max(text_width(row, points) for row in rows)
    height = len(rows) * points * 1.36
    place = f"{width / 2 + 2:.1f},{-UNDER - height / 2:.1f}"
    graph.attr(label=parts.label_of(rows, "\\l"), lp=place)


def _spline(way: Sequence[tuple[float, float]]) -> str:
    """Return a way with corners as Graphviz takes it: cubic curves, and where the arrow ends."""
    (tip_x, tip_y), (x, y) = way[-1], way[-2]
    length = math.hypot(tip_x - x, tip_y - y)
    share = min(HEAD, 0.8 * length) / length
    neck = (tip_x - (tip_x - x) * share, tip_y - (tip_y - y) * share)
    points = [way[0], *_rounded([*way[:-1], neck])]
    return " ".join([f"e,{tip_x:.2f},{tip_y:.2f}", *(f"{a:.2f},{b:.2f}" for a, b in points)])


def _rounded(way: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the control points of the curves along a way, after its first point."""
    points: list[tuple[float, float]] = []
    at = way[0]
    for corner, after in pairwise(way[1:]):
        into, out = _towards(corner, at), _towards(corner, after)
        points += [at, into, into, corner, corner, out]
        at = out
    return [*points, at, way[-1], way[-1]]


def _towards(corner: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """Return the point near a corner where its rounding begins or ends."""
    length = math.dist(corner, other)
    share = min(CORNER, length / 2) / length
    return corner[0] + (other[0] - corner[0]) * share, corner[1] + (other[1] - corner[1]) * share
