"""The nodes, arrows and legend that all precedence diagrams are built of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stationflow.drawing.diagram_work import DiagramWork, DrawnArrows, shown_time
from stationflow.drawing.palette import ARROW, INK, OVER, UNASSIGNED, station_fill
from stationflow.drawing.text_size import FONT_FAMILY, plain, shortened, text_width, wrapped
from stationflow.model import StationLoad
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    from graphviz import Digraph

POINTS_PER_INCH = 72
FONTS = f"{FONT_FAMILY},Arial,Helvetica,sans-serif"
COMPACT_FROM = 61
"""From so many tasks on the nodes are compact: two lines, the name cut shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeForm:
    """Size of a node. Widths are in points.

    Attributes
    ----------
    points
        Size of the text.
    name_width
        Greatest width of the task's name.
    name_lines
        Most lines of the name.
    """

    points: float
    name_width: float
    name_lines: int

    @property
    def line_height(self) -> float:
        """Height of one line of text in points: 1.36 of the size in the bundled font."""
        return self.points * 1.36


ROOMY = NodeForm(points=11, name_width=118, name_lines=2)
COMPACT = NodeForm(points=10, name_width=96, name_lines=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """The lines of text of a node and its station; station 0: at none."""

    rows: tuple[str, ...]
    tip: str
    station: int


def node_form(tasks: int) -> NodeForm:
    """Return the form of the nodes of a diagram of so many tasks."""
    return ROOMY if tasks < COMPACT_FROM else COMPACT


def station_of_task(stations: Sequence[StationLoad] | None) -> dict[str, int]:
    """Return the station number of each task number."""
    return {task: load.number for load in stations or () for task in load.tasks}


def task_nodes(
    work: DiagramWork,
    names: Mapping[str, str],
    stations: Mapping[str, int],
    form: NodeForm,
    unit: TimeUnit,
) -> list[Node]:
    """Return the nodes of the tasks: number and time, short name, station."""
    nodes = []
    for number, ticks in zip(work.numbers, work.times, strict=True):
        station = stations.get(number, 0)
        time, name = shown_time(work, ticks, unit), plain(names.get(number, ""))
        shown = shortened(plain(number), form.name_width, form.points) or "(no number)"
        head = [shown, time]
        if station:
            head.append(f"S{station}")
        rows = [("  \N{MIDDLE DOT}  " if form is ROOMY else " \N{MIDDLE DOT} ").join(head)]
        rows += wrapped(name, form.name_width, form.points, form.name_lines)
        where = f", station {station}" if station else ""
        tip = f"{plain(number)} {name}, {time}{where}"
        nodes.append(Node(rows=tuple(rows), tip=tip, station=station))
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
        fontsize=f"{form.points + 1:g}",
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
) -> None:
    """Add the nodes, all of one size in inches; the longest path has a thick outline."""
    width, height = size
    for position, node in enumerate(nodes):
        graph.node(
            f"{prefix}{position}",
            label=label_of(node.rows),
            tooltip=label_of([node.tip]),
            width=f"{width:.3f}",
            height=f"{height:.3f}",
            fillcolor=station_fill(node.station) if node.station else UNASSIGNED,
            **({"penwidth": "2.6"} if position in on_path else {}),
        )


def add_arrows(
    graph: "Digraph", arrows: DrawnArrows, prefix: str = "n", band: Sequence[int] = ()
) -> None:
    """Add the arrows: thick on the longest path, red and dashed on a circle.

    An arrow from one band of a folded diagram to another does not set the layers.
    """
    on_path = set(zip(arrows.path, arrows.path[1:], strict=False))
    for before, after in arrows.plain:
        look = {"penwidth": "2.6", "color": INK} if (before, after) in on_path else {}
        if band and band[before] != band[after]:
            look["constraint"] = "false"
        graph.edge(f"{prefix}{before}", f"{prefix}{after}", **look)
    for before, after in arrows.circle:
        graph.edge(
            f"{prefix}{before}",
            f"{prefix}{after}",
            color=OVER,
            style="dashed",
            penwidth="2.2",
        )


def legend_rows(
    work: DiagramWork,
    arrows: DrawnArrows,
    stations: Mapping[str, int],
    unit: TimeUnit = TimeUnit.SECOND,
) -> list[str]:
    """Return the lines that explain the marks used in a diagram, and only those."""
    rows = []
    if arrows.path:
        length = shown_time(work, sum(work.times[p] or 0 for p in arrows.path), unit)
        rows.append(f"Thick outline and arrows: longest path by time, {length}.")
    if stations:
        rows.append("S1, S2 ...: station; tasks of one station have one colour.")
    if arrows.circle:
        rows.append("Red dashed arrows: a circle; it cannot be built, take one arrow away.")
    if arrows.redundant:
        count = arrows.redundant
        many = f"{count} arrows that follow" if count > 1 else "1 arrow that follows"
        rows.append(f"Left out: {many} from others.")
    if any(time is None for time in work.times):
        rows.append("no time: not yet timed; counted as 0.")
    return rows
