"""Checks on lines: one main line, feeders that lead to it, joins, arrows between lines."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, partial

from stationflow.model import Finding, Line, Product, error
from stationflow.network.line_tree import LineTree, line_tree


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
        *_joins(product, tree.lines),
        *_empty_lines(product, tree.lines),
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
    for name, line in tree.lines.items():
        where = f"Line {name}"
        if line.feeds and line.feeds not in tree.lines:
            message = f"It feeds {line.feeds!r}, and there is no such line."
            yield error("unknown-line", where, message)
        if name not in named and (circle := tree.circle(name)):
            named.update(circle)
            round_trip = " -> ".join((*circle, name))
            yield error("line-circle", where, f"The lines feed in a circle: {round_trip}.")


def _joins(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name feeders without a join, and joins that are no task of the fed line."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    for line in lines.values():
        where = f"Line {line.name}"
        if line.is_main:
            continue
        code, message = "unknown-join", ""
        if not line.join:
            code = "feeder-without-join"
            message = f"No task of line {line.feeds} is named that takes its unit."
        elif line.join not in line_of:
            message = f"The join is task {line.join}, and there is no such task."
        elif line_of[line.join] != line.feeds:
            message = (
                f"The join, task {line.join}, is on line {line_of[line.join]} and not on line "
                f"{line.feeds}, which it feeds."
            )
        if message:
            yield error(code, where, message)


def _empty_lines(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    used = {task.line for task in product.tasks}
    for name in lines:
        if name not in used:
            yield error("empty-line", f"Line {name}", "It has no tasks.")


def _arrows(product: Product, tree: LineTree) -> Iterator[Finding]:
    """Name the arrows between lines that cannot be."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    allowed = cache(partial(_from_join, product))
    for task in product.tasks:
        for number in dict.fromkeys(task.predecessors):
            source = line_of.get(number)
            if source in {None, task.line} or not {source, task.line} <= tree.lines.keys():
                continue
            waits = f"waits for task {number}"
            here, feeder = f"It is on line {task.line} and {waits}", tree.lines[str(source)]
            code, message = "arrow-past-join", ""
            if feeder.name in tree.fed(task.line):
                code = "arrow-to-feeder"
                message = f"{here} on line {source}, which line {task.line} feeds."
            elif task.line not in tree.fed(feeder.name):
                message = f"{here} on line {source}, which does not feed line {task.line}."
            elif task.line != feeder.feeds:
                message = (
                    f"{here} on line {source}, which reaches line {task.line} only through line "
                    f"{feeder.feeds}."
                )
            elif allowed(feeder) and task.number not in allowed(feeder):  # a join is missing: told
                message = (
                    f"It {waits} of feeder {source}, but the feeder's unit arrives at task "
                    f"{feeder.join}, which it does not follow."
                )
            if message:
                yield error(code, f"Task {task.number}", message)


def _from_join(product: Product, feeder: Line) -> set[str]:
    """Return the join of a feeder and the tasks of the fed line after it; empty: no such join."""
    import networkx as nx

    tasks = product.tasks_of(feeder.feeds)
    graph = nx.DiGraph((before, task.number) for task in tasks for before in task.predecessors)
    graph.add_nodes_from(task.number for task in tasks)
    joins = {feeder.join}.intersection(task.number for task in tasks)
    return joins.union(*(nx.descendants(graph, join) for join in joins))
