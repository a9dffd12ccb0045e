"""Precedence diagram of a whole product: every line, feeders leading to their joins."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stationflow.drawing.diagram import diagram_parts as parts
from stationflow.drawing.diagram.diagram_parts import Node
from stationflow.drawing.diagram.diagram_work import (
    DraftWork,
    DrawnArrows,
    draft_work,
    drawn_arrows,
)
from stationflow.drawing.palette import ARROW, INK, OVER, PAPER
from stationflow.model import Line, Product
from stationflow.model.schema.cells import one_line
from stationflow.network.line_tree import line_tree

if TYPE_CHECKING:
    from graphviz import Digraph

ACROSS_UP_TO = 24  # up to so many tasks on the longest line the lines run from left to right


def product_diagram(product: Product) -> str:
    """Return the precedence diagram of all lines of a product as Graphviz source.

    Each line is a frame with its tasks. A feeder's arrow leads from its frame
    to the join, the task that consumes its unit, and names the quantity.

    The product is drawn whatever is wrong with it.
    """
    form = parts.node_form(len(product.tasks))
    lines = list({line.name: line for line in product.lines}.values())
    drawn = []
    for line in lines:
        work = draft_work(product, line.name)
        names = [task.name for task in product.tasks_of(line.name)]
        nodes = parts.task_nodes(work, names, {}, form, product.time_unit)
        drawn.append((line, work, nodes, drawn_arrows(work)))
    most = max((len(work.numbers) for _, work, _, _ in drawn), default=0)
    graph = parts.new_graph("product", "LR" if most <= ACROSS_UP_TO else "TB", form)
    feeders = "Double arrow from a frame: a feeder's unit goes to the join."
    rows = parts.legend_rows(
        [arrows for _, _, _, arrows in drawn],
        "Thick outline and arrows: longest path by time of each line.",
        "",
        feeders if any(not line.is_main for line in lines) else "",
    )
    graph.attr(compound="true", label=parts.label_of(rows, "\\l"))
    size = parts.nodes_size([node for _, _, nodes, _ in drawn for node in nodes], form)
    for at, (line, _, nodes, arrows) in enumerate(drawn):
        _add_line(graph, at, line, nodes, arrows, size)
    works = [work for _, work, _, _ in drawn]
    _add_feeds(graph, product, lines, works)
    _add_arrows_between(graph, product, works)
    return str(graph.source)


def _add_line(
    graph: "Digraph",
    at: int,
    line: Line,
    nodes: list[Node],
    arrows: DrawnArrows,
    size: tuple[float, float],
) -> None:
    kind = "main line" if line.is_main else f"feeder of {one_line(line.feeds)}"
    with graph.subgraph(name=f"cluster_{at}") as frame:
        frame.attr(
            label=parts.label_of([f"{one_line(line.label)} ({kind})"]),
            labelloc="t",
            color=INK if line.is_main else ARROW,
            penwidth="1.6" if line.is_main else "1",
            style="rounded",
            margin="10",
            tooltip=" ",
        )
        if nodes:
            parts.add_nodes(frame, nodes, set(arrows.path), size, f"l{at}n")
            parts.add_arrows(frame, arrows, f"l{at}n")
        else:
            said = "bought in" if line.bought_in else "no tasks yet"
            frame.node(f"l{at}n0", label=said, style="dashed,rounded",
                       fixedsize="false", margin="0.1")  # fmt: skip


def _add_feeds(
    graph: "Digraph", product: Product, lines: Sequence[Line], works: Sequence[DraftWork]
) -> None:
    """Add an arrow from the frame of each feeder to each of its joins."""
    place = {line.name: at for at, line in enumerate(lines)}
    joins = line_tree(product).joins
    for of in (join for line in lines for join in joins[line.name]):
        at, fed = place[of.line], place.get(of.feeds)
        if fed is None or fed == at:
            continue
        join = works[fed].numbers.index(of.join) if of.join in works[fed].numbers else None
        words = f"{of.quantity:g} per unit" if of.quantity != 1 else ""
        look = {"color": f"{INK}:{PAPER}:{INK}", "penwidth": "1.4", "arrowsize": "0.9"}
        if join is None:  # the join is missing: lead to the frame, in words too
            look = {"color": OVER, "style": "dashed", "lhead": f"cluster_{fed}"}
            words = f"{words} (no join)".strip()
        graph.edge(
            f"l{at}n{_last(works[at])}",
            f"l{fed}n{join or 0}",
            ltail=f"cluster_{at}",
            label=parts.label_of([words]),
            fontcolor=INK,
            **look,
        )


def _last(work: DraftWork) -> int:
    """Return the position of a task that nothing on the line waits for, the last such one."""
    waited_for = {before for row in work.predecessors for before in row}
    free = [at for at in range(len(work.numbers)) if at not in waited_for]
    return free[-1] if free else 0


def _add_arrows_between(graph: "Digraph", product: Product, works: Sequence[DraftWork]) -> None:
    """Add the arrows that lead from a task of one line to a task of another."""
    place: dict[str, tuple[int, int]] = {}
    for at, work in enumerate(works):
        for position, number in enumerate(work.numbers):
            place.setdefault(number, (at, position))
    for task in product.tasks:
        for number in dict.fromkeys(task.predecessors):
            before, after = place.get(number), place.get(task.number)
            if before and after and before[0] != after[0]:
                graph.edge(
                    "l{}n{}".format(*before),
                    "l{}n{}".format(*after),
                    style="dotted",
                    penwidth="1.4",
                )
