"""Checks on lines: one main line, feeders that lead to it, joins, arrows between lines."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, partial

from stationflow.model import Finding, Line, Product, error
from stationflow.network.line_tree import LineTree, line_tree
from stationflow.network.task_graph import task_graph


def check_lines(product: Product) -> tuple[Finding, ...]:
    """Return what is wrong with the lines of a product and the arrows between them.

    A feeder's unit is consumed by one task of the line it feeds, the join. An arrow from a
    feeder's task into the fed line may lead to the join or to a task after it; an arrow from a
    line back to its own feeder cannot be.
    """
    tree = line_tree(product)
    return (
        *_names(product),
        *_main_line(tree.lines.values()),
        *_fed_lines(tree),
        *_joins(product, tree),
        *_tasks_of_lines(product, tree.lines),
        *_arrows(product, tree),
    )


def _names(product: Product) -> Iterator[Finding]:
    """Name the lines whose name is used twice."""
    for name, count in Counter(line.name for line in product.lines).items():
        if count > 1:
            yield error("duplicate-line", f"Line {name}", f"{count} lines have the name {name!r}.")


def _main_line(lines: Iterable[Line]) -> Iterator[Finding]:
    mains = [line.name for line in lines if line.is_main]
    if not mains:
        yield error("no-main-line", "Lines", "Every line feeds another; none is the main line.")
    elif len(mains) > 1:
        some = ", ".join(mains)
        yield error("no-main-line", "Lines", f"{len(mains)} lines feed no other: {some}.")


def _fed_lines(tree: LineTree) -> Iterator[Finding]:
    """Name lines that feed an unknown line, and each circle of lines once."""
    named: set[str] = set()
    for name, joins in tree.joins.items():
        where = f"Line {name}"
        for fed in dict.fromkeys(join.feeds for join in joins if join.feeds not in tree.lines):
            yield error("unknown-line", where, f"It feeds {fed!r}, and there is no such line.")
        if name not in named and (circle := tree.circle(name)):
            named.update(circle)
            round_trip = " -> ".join((*circle, name))
            yield error("line-circle", where, f"The lines feed in a circle: {round_trip}.")


def _joins(product: Product, tree: LineTree) -> Iterator[Finding]:
    """Name feeders without a join, and joins that are no task of the fed line."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    for name, joins in tree.joins.items():
        for join in joins:
            code, message = "unknown-join", ""
            if not join.join:
                code = "feeder-without-join"
                message = f"No task of line {join.feeds} is named that takes its unit."
            elif join.join not in line_of:
                message = f"The join is task {join.join}, and there is no such task."
            elif line_of[join.join] != join.feeds:
                message = (
                    f"The join, task {join.join}, is on line {line_of[join.join]} and not on line "
                    f"{join.feeds}, which it feeds."
                )
            if message:
                yield error(code, f"Line {name}", message)
        for (fed, number), count in Counter((join.feeds, join.join) for join in joins).items():
            if count > 1:
                message = f"{count} joins of it are task {number} of line {fed}."
                yield error("join-twice", f"Line {name}", message)


def _tasks_of_lines(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name lines without tasks, and bought-in ones with tasks."""
    used = {task.line for task in product.tasks}
    for name, line in lines.items():
        where = f"Line {name}"
        if line.bought_in and line.is_main:
            message = "It is the main line and is marked as bought in; it has to be made here."
            yield error("line-bought-in", where, message)
        elif line.bought_in and name in used:
            message = "Its units are bought in, and tasks are entered on it."
            yield error("line-bought-in", where, message)
        elif name not in used and not line.bought_in:
            yield error("empty-line", where, "It has no tasks.")


def _arrows(product: Product, tree: LineTree) -> Iterator[Finding]:
    """Name the arrows between lines that cannot be."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    allowed = cache(partial(_from_joins, product, tree))
    for task in product.tasks:
        for number in dict.fromkeys(task.predecessors):
            source = line_of.get(number)
            if source in {None, task.line} or not {source, task.line} <= tree.lines.keys():
                continue
            waits = f"waits for task {number}"
            here, feeder = f"It is on line {task.line} and {waits}", str(source)
            fed = [join.feeds for join in tree.joins[feeder]]
            code, message = "arrow-past-join", ""
            if feeder in tree.fed(task.line):
                code = "arrow-to-feeder"
                message = f"{here} on line {source}, which line {task.line} feeds."
            elif task.line not in tree.fed(feeder):
                message = f"{here} on line {source}, which does not feed line {task.line}."
            elif task.line not in fed:
                message = (
                    f"{here} on line {source}, which reaches line {task.line} only through line "
                    f"{' and line '.join(dict.fromkeys(fed))}."
                )
            else:
                numbers, follow = allowed(feeder, task.line)
                if follow and task.number not in follow:  # a join is missing: told
                    message = (
                        f"It {waits} of feeder {source}, but the feeder's unit arrives at task "
                        f"{' and task '.join(numbers)}, which it does not follow."
                    )
            if message:
                yield error(code, f"Task {task.number}", message)


def _from_joins(
    product: Product, tree: LineTree, feeder: str, fed: str
) -> tuple[tuple[str, ...], set[str]]:
    """Return the joins of a feeder on a line, and these and the tasks after them; none: nothing."""
    import networkx as nx

    graph = task_graph(product.tasks_of(fed))
    joins = tuple(j.join for j in tree.joins[feeder] if j.feeds == fed and j.join in graph)
    return joins, set(joins).union(*(nx.descendants(graph, join) for join in joins))
