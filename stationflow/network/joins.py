"""Checks on lines: one main line, feeders that lead to it, joins, arrows between lines."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from stationflow.model import Finding, Line, Product, error


def check_lines(product: Product) -> tuple[Finding, ...]:
    """Return what is wrong with the lines of a product and the arrows between them.

    A feeder's unit is consumed by one task of the line it feeds, the join. An
    arrow from a feeder's task into the fed line may lead to the join or to a
    task after it; an arrow from a line back to its own feeder cannot be.

    Parameters
    ----------
    product
        The product.

    Returns
    -------
    tuple of Finding
        Of the codes no-main-line, duplicate-line, unknown-line, line-circle, feeder-without-join,
        unknown-join, empty-line, arrow-to-feeder and arrow-past-join.
    """
    lines: dict[str, Line] = {}
    for line in product.lines:
        lines.setdefault(line.name, line)
    return (
        *_names(product),
        *_main_line(lines.values()),
        *_fed_lines(lines),
        *_joins(product, lines),
        *_empty_lines(product, lines),
        *_arrows(product, lines),
    )


def fed_lines(lines: Mapping[str, Line], name: str) -> tuple[str, ...]:
    """Return the names of the lines a line feeds, directly or through others, nearest first.

    A circle ends where it comes round; an unknown line ends the chain.
    """
    passed: list[str] = []
    line = lines.get(name)
    while line and line.feeds in lines and line.feeds not in passed and line.feeds != name:
        passed.append(line.feeds)
        line = lines[line.feeds]
    return tuple(passed)


def _names(product: Product) -> Iterator[Finding]:
    """Name the lines whose name is used twice."""
    for name, count in Counter(line.name for line in product.lines).items():
        if count > 1:
            yield error("duplicate-line", f"Line {name}", f"{count} lines have the name {name!r}.")


def _main_line(lines: Iterable[Line]) -> Iterator[Finding]:
    """Say that no line, or more than one, is the main line."""
    mains = [line.name for line in lines if line.is_main]
    if not mains:
        yield error("no-main-line", "Lines", "Every line feeds another; none is the main line.")
    elif len(mains) > 1:
        some = ", ".join(mains)
        yield error("no-main-line", "Lines", f"{len(mains)} lines feed no other: {some}.")


def _fed_lines(lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name lines that feed an unknown line, and each circle of lines once."""
    in_circle: set[str] = set()
    for line in lines.values():
        if line.feeds and line.feeds not in lines:
            yield error(
                "unknown-line",
                f"Line {line.name}",
                f"It feeds {line.feeds!r}, and there is no such line.",
            )
        chain = (line.name, *fed_lines(lines, line.name))
        if line.name not in in_circle and lines[chain[-1]].feeds == line.name:
            in_circle.update(chain)
            round_trip = " -> ".join((*chain, line.name))
            yield error(
                "line-circle",
                f"Line {line.name}",
                f"The lines feed in a circle: {round_trip}.",
            )


def _joins(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name feeders without a join, and joins that are no task of the fed line."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    for line in lines.values():
        where = f"Line {line.name}"
        if line.is_main:
            continue
        if not line.join:
            yield error(
                "feeder-without-join",
                where,
                f"No task of line {line.feeds} is named that takes its unit.",
            )
        elif line.join not in line_of:
            yield error(
                "unknown-join", where, f"The join is task {line.join}, and there is no such task."
            )
        elif line_of[line.join] != line.feeds:
            yield error(
                "unknown-join",
                where,
                f"The join, task {line.join}, is on line {line_of[line.join]} and not on line "
                f"{line.feeds}, which it feeds.",
            )


def _empty_lines(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name the lines without tasks."""
    used = {task.line for task in product.tasks}
    for name in lines:
        if name not in used:
            yield error("empty-line", f"Line {name}", "It has no tasks.")


def _arrows(product: Product, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """Name the arrows between lines that cannot be."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    fed_by = {name: fed_lines(lines, name) for name in lines}
    allowed = {name: _from_join(product, line) for name, line in lines.items() if line.feeds}
    for task in product.tasks:
        for number in dict.fromkeys(task.predecessors):
            source = line_of.get(number)
            if source is None or source == task.line or not {source, task.line} <= lines.keys():
                continue
            where = f"Task {task.number}"
            if source in fed_by[task.line]:
                yield error(
                    "arrow-to-feeder",
                    where,
                    f"It is on line {task.line} and waits for task {number} on line {source}, "
                    f"which line {task.line} feeds.",
                )
            elif task.line == lines[source].feeds and allowed[source]:
                if task.number not in allowed[source]:
                    yield error(
                        "arrow-past-join",
                        where,
                        f"It waits for task {number} of feeder {source}, but the feeder's unit "
                        f"arrives at task {lines[source].join}, which it does not follow.",
                    )
            else:
                yield from _indirect(task.number, task.line, number, source, lines, fed_by)


def _indirect(
    task: str,
    line: str,
    number: str,
    source: str,
    lines: Mapping[str, Line],
    fed_by: Mapping[str, tuple[str, ...]],
) -> Iterator[Finding]:
    """Name an arrow between lines of which neither feeds the other directly."""
    if line == lines[source].feeds:
        return  # the join is missing, which is a finding of its own
    if line in fed_by[source]:
        why = f"reaches line {line} only through line {lines[source].feeds}"
    else:
        why = f"does not feed line {line}"
    yield error(
        "arrow-past-join",
        f"Task {task}",
        f"It is on line {line} and waits for task {number} on line {source}, which {why}.",
    )


def _from_join(product: Product, feeder: Line) -> set[str]:
    """Return the join of a feeder and the tasks of the fed line after it; empty: no such join."""
    tasks = product.tasks_of(feeder.feeds)
    after: dict[str, list[str]] = {task.number: [] for task in tasks}
    if feeder.join not in after:
        return set()
    for task in tasks:
        for before in task.predecessors:
            if before in after:
                after[before].append(task.number)
    reached, waiting = {feeder.join}, [feeder.join]
    while waiting:
        for number in after[waiting.pop()]:
            if number not in reached:
                reached.add(number)
                waiting.append(number)
    return reached
