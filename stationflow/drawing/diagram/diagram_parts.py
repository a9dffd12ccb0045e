"""The nodes, arrows and legend that all precedence diagrams are built of."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stationflow.drawing.diagram.diagram_work import DiagramWork, DrawnArrows, shown_time
from stationflow.drawing.limit_tips import limit_tip
from stationflow.drawing.palette import ARROW, INK, OVER, UNASSIGNED, station_fill
from stationflow.drawing.text_size import FONT_FAMILY, shortened, text_width, wrapped
from stationflow.model import Station
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    from graphviz import Digraph

POINTS_PER_INCH = 72
UNSAFE = re.compile(r"[^A-Za-z0-9.-]+")  # what does not belong into the id of an element
LEGEND_MORE = 1  # how many points the explaining lines are larger than the nodes' text
FONTS = f"{FONT_FAMILY},Arial,Helvetica,sans-serif"
COMPACT_FROM = 61  # from so many tasks on the nodes are compact: three lines, the name cut shorter
SMALL_FROM = 151  # from so many on they have number and time alone; the name shows on pointing


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeForm:
    """Size of a node. Widths are in points."""

    points: float  # size of the text
    name_width: float  # greatest width of the task's name
    name_lines: int  # most lines of the name; 0: the number stands alone, the time below it

    @property
    def line_height(self) -> float:
        """Height of one line of text in points: 1.36 of the size in the bundled font."""
        return self.points * 1.36


ROOMY = NodeForm(points=11, name_width=118, name_lines=3)
NARROW = NodeForm(points=11, name_width=84, name_lines=3)
COMPACT = NodeForm(points=10, name_width=96, name_lines=2)
SMALL = NodeForm(points=10, name_width=60, name_lines=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """The lines of text of a node and its station; station 0: at none."""

    number: str
    rows: tuple[str, ...]
    tip: str
    station: int


def node_form(tasks: int) -> NodeForm:
    """Return the form of the nodes of a diagram of so many tasks."""
    if tasks >= SMALL_FROM:
        return SMALL
    return ROOMY if tasks < COMPACT_FROM else COMPACT


def station_of_task(stations: Sequence[Station] | None) -> dict[str, int]:
    """Return the station number of each task number."""
    return {task: load.number for load in stations or () for task in load.tasks}


def task_nodes(
    work: DiagramWork,
    names: Sequence[str],
    stations: Mapping[str, int],
    form: NodeForm,
    unit: TimeUnit,
) -> list[Node]:
    """Return the nodes of the tasks: number and time, short name, station."""
    nodes = []
    limits_of = dict(zip(work.limits.numbers, work.limits.tasks, strict=True))
    for number, ticks, words in zip(work.numbers, work.times, names, strict=True):
        station = stations.get(number, 0)
        time, name = shown_time(work, ticks, unit), one_line(words)
        shown = shortened(one_line(number), form.name_width, form.points) or "(no number)"
        head = [shown, time]
        if station:
            head.append(f"S{station}")
        dot = "  \N{MIDDLE DOT}  " if form is ROOMY else " \N{MIDDLE DOT} "
        if form.name_lines:
            rows = [dot.join(head), *wrapped(name, form.name_width, form.points, form.name_lines)]
        else:
            rows = [dot.join([shown, *head[2:]]), time]
        where = f", station {station}" if station else ""
        limits = limit_tip(limits_of[number]) if number in limits_of else ""
        tip = f"{one_line(number)} {name}, {time}{where}{f'. {one_line(limits)}' if limits else ''}"
        nodes.append(Node(number=number, rows=tuple(rows), tip=tip, station=station))
    return nodes


def nodes_size(nodes: Sequence[Node], form: NodeForm) -> tuple[float, float]:
    """Return one width and height in inches that holds every node.

    One size for all keeps the layers straight.
    """
    widest = max((text_width(row, form.points) for node in nodes for row in node.rows), default=0)
    tallest = max((len(node.rows) for node in nodes), default=1)
    width = (widest + 1.6 * form.points) / POINTS_PER_INCH
    height = (tallest * form.line_height + 0.8 * form.points) / POINTS_PER_INCH
    return width, height


def new_graph(name: str, rankdir: str, form: NodeForm) -> "Digraph":
    """Return an empty diagram with the look of all diagrams."""
    from graphviz import Digraph

    graph = Digraph(name=name)
    graph.attr(
        rankdir=rankdir,
        fontname=FONTS,
        fontsize=f"{form.points + LEGEND_MORE:g}",
        bgcolor="white",
        nodesep="0.14",
        ranksep="0.38" if form is ROOMY else "0.3",
        pad="0.15",
        labelloc="b",
        labeljust="l",
        tooltip=" ",
    )
    graph.attr(
        "node",
        shape="box",
        style="filled,rounded",
        fontname=FONTS,
        fontsize=f"{form.points:g}",
        fontcolor=INK,
        color=INK,
        penwidth="0.8",
        fixedsize="true",
        margin="0",
    )
    graph.attr("edge", color=ARROW, arrowsize="0.6", penwidth="0.9", fontname=FONTS)
    return graph


def label_of(rows: Sequence[str], end: str = "\\n") -> str:
    """Return lines of text as a label that Graphviz takes word for word.

    `end` is Graphviz's line end: centred, or left with a small L.
    """
    from graphviz import escape, nohtml

    text = end.join(str(escape(row)) for row in rows)
    label: str = nohtml(text + end if end != "\\n" else text)
    return label


def add_nodes(
    graph: "Digraph",
    nodes: Sequence[Node],
    on_path: set[int],
    size: tuple[float, float],
    prefix: str = "n",
    centres: Sequence[tuple[float, float]] = (),
) -> None:
    """Add the nodes, all of one size in inches; the longest path has a thick outline.

    `centres` has the place of each node in points; without it Graphviz finds one.
    """
    width, height = size
    for position, node in enumerate(nodes):
        graph.node(
            f"{prefix}{position}",
            label=label_of(node.rows),
            tooltip=label_of([node.tip]),
            id=f"{prefix}{position}_{UNSAFE.sub('_', node.number)}",
            width=f"{width:.3f}",
            height=f"{height:.3f}",
            fillcolor=station_fill(node.station) if node.station else UNASSIGNED,
            **({"penwidth": "2.6"} if position in on_path else {}),
            **({"pos": "{:.2f},{:.2f}".format(*centres[position])} if centres else {}),
        )


def add_arrows(
    graph: "Digraph",
    arrows: DrawnArrows,
    prefix: str = "n",
    routes: Mapping[tuple[int, int], str] | None = None,
    numbers: Sequence[str] = (),
) -> None:
    """Add the arrows: thick on the longest path, red and dashed on a circle.

    `routes` has the way of each arrow in Graphviz's terms; None: Graphviz finds it.
    With the `numbers` of the tasks an arrow says on pointing from where to where it leads.
    """
    on_path = set(zip(arrows.path, arrows.path[1:], strict=False))
    looks = {
        arrow: {"penwidth": "2.6", "color": INK} if arrow in on_path else {}
        for arrow in sorted(arrows.plain, key=lambda arrow: arrow in on_path)  # thick ones on top
    }
    for arrow in arrows.circle:
        looks[arrow] = {"color": OVER, "style": "dashed", "penwidth": "2.2"}
    for (before, after), look in looks.items():
        way = {"pos": routes[before, after]} if routes else {}
        if numbers:
            words = f"{one_line(numbers[before])} before {one_line(numbers[after])}"
            way["tooltip"] = label_of([words])
        graph.edge(f"{prefix}{before}", f"{prefix}{after}", **look, **way)


def legend_rows(
    drawn: Sequence[DrawnArrows], path: str, stations: str, feeders: str = ""
) -> list[str]:
    """Return the lines that explain the marks used in diagrams; an empty sentence is left out."""
    rows = [path] if any(arrows.path for arrows in drawn) else []
    rows += [said for said in (stations, feeders) if said]
    if any(arrows.circle for arrows in drawn):
        rows.append("Red dashed arrows: a circle; it cannot be built, take one arrow away.")
    if count := sum(arrows.redundant for arrows in drawn):
        many = f"{count} arrows that follow" if count > 1 else "1 arrow that follows"
        rows.append(f"Left out: {many} from others.")
    return rows
