"""Which line a task may be done on, and the product with tasks moved to other lines."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stationflow.balancing.arrows import closure
from stationflow.balancing.work import mean_time_ms
from stationflow.model import Finding, Product, Task, warning
from stationflow.network.line_tree import LineTree, line_tree
from stationflow.network.task_graph import task_graph
from stationflow.pace.figures import figure
from stationflow.pace.takt import line_pace


@dataclass(frozen=True, slots=True)
class Block:
    """Tasks that stay on one line together, and the lines that may have them, their own first."""

    tasks: tuple[int, ...]  # positions in the product
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ownership:
    """What may move, and what follows from where it is."""

    product: Product
    blocks: tuple[Block, ...]  # of the tasks that may move
    arrows: tuple[tuple[int, int], ...]  # of the whole product, before and after
    feeds: Mapping[str, tuple[str, int]]  # for each feeder the fed line and the join's position
    # for each task the positions of all tasks it waits for, on whatever line, as bits
    before: tuple[int, ...]
    findings: tuple[Finding, ...]  # lines that were entered for a task and are not tried

    @property
    def free(self) -> frozenset[int]:
        """The tasks that may move."""
        return frozenset(task for block in self.blocks for task in block.tasks)

    def may_follow(self, one: str, after: int, other: str) -> bool:
        """Return whether a task of a line may be followed by this one on the other line.

        On the same line, or on the line it feeds, at or after the join: a task that the join
        itself waits for comes before it.
        """
        if one == other:
            return True
        fed, join = self.feeds.get(one, ("", -1))
        return fed == other and not self.before[join] >> after & 1

    def moved(self, lines: Mapping[int, str]) -> Product:
        """Return the product with these tasks on other lines.

        A task on the fed line that follows a feeder's task gets an arrow from the join, unless it
        comes after it already; the lines where a task may be done stay the same.
        """
        import networkx as nx

        tasks = list(self.product.tasks)
        for at, line in lines.items():
            task = tasks[at]
            if line != task.line:
                others = tuple(name for name in task.other_lines if name != line)
                tasks[at] = replace(task, line=line, other_lines=(task.line, *others))
        graph = task_graph(tasks)
        for one, after in self.arrows:
            fed, join = self.feeds.get(tasks[one].line, ("", -1))
            way = (tasks[join].number, tasks[after].number)
            if tasks[after].line == fed and not nx.has_path(graph, *way):
                needed = (*tasks[after].predecessors, tasks[join].number)
                tasks[after] = replace(tasks[after], predecessors=needed)
                graph.add_edge(*way)
        return replace(self.product, tasks=tuple(tasks))


def ownership(product: Product) -> Ownership:
    """Return what may move in a product whose lines have no errors."""
    tree = line_tree(product)
    position = {task.number: at for at, task in enumerate(product.tasks)}
    arrows = tuple(
        (position[number], at)
        for at, task in enumerate(product.tasks)
        for number in dict.fromkeys(task.predecessors)
        if number in position
    )
    rows: list[list[int]] = [[] for _ in product.tasks]
    for one, after in arrows:
        rows[after].append(one)
    feeds = {
        name: (joins[0].feeds, position[joins[0].join])
        for name, joins in tree.joins.items()
        if len(joins) == 1 and joins[0].join in position
    }
    found: list[Finding] = []
    lines = [_lines_of(product, tree, at, found) for at in range(len(product.tasks))]
    blocks = sorted(
        _blocks(product, lines, position, found),
        key=lambda block: -sum(mean_time_ms(product, product.tasks[at]) for at in block.tasks),
    )
    before = closure(rows)
    told = tuple(dict.fromkeys(found))
    return Ownership(product, tuple(blocks), arrows, feeds, before, told)


def _lines_of(product: Product, tree: LineTree, at: int, found: list[Finding]) -> tuple[str, ...]:
    """Return the lines that may have a task, its own first; tell of those that may not."""
    task = product.tasks[at]
    lines = [task.line]
    fixed = _why_fixed(product, tree, task)
    for name in dict.fromkeys(task.other_lines):
        if name == task.line or name not in tree.lines:  # an unknown one is named elsewhere
            continue
        if why := fixed or _why_not_there(product, tree, task, name):
            message = f"It may be done on line {name} too, but that is not tried: {why}"
            found.append(warning("other-line-left-out", f"Task {task.number}", message))
        else:
            lines.append(name)
    return tuple(lines)


def _why_fixed(product: Product, tree: LineTree, task: Task) -> str:
    limits = task.limits
    if any(join.join == task.number for joins in tree.joins.values() for join in joins):
        return "a feeder joins at it."
    numbers = (limits.station, limits.earliest_station, limits.latest_station)
    if any(number is not None for number in numbers) or task.station_times:
        return f"station numbers are entered for it, and they are those of line {task.line}."
    if any(machine.task == task.number for machine in product.machines):
        return f"a machine on line {task.line} does it."
    return ""


def _why_not_there(product: Product, tree: LineTree, task: Task, name: str) -> str:
    if tree.lines[name].bought_in:
        return "the units of that line are bought."
    units, here = tree.units_per_product(name), tree.units_per_product(task.line)
    if units != here:
        return (
            f"{figure(float(units or 0))} of its units are in one product and "
            f"{figure(float(here or 0))} of line {task.line}, so that "
            "times and quantities of the task would be others."
        )
    limit = line_pace(product, name).station_time_s
    if limit is None or mean_time_ms(product, task) > limit * 1000:
        return "it is longer than a station of that line may work."
    return ""


def _blocks(
    product: Product,
    lines: Sequence[tuple[str, ...]],
    position: Mapping[str, int],
    found: list[Finding],
) -> Iterator[Block]:
    """Yield the tasks that may move.

    Those of a line that share a group or equipment, or have times between them, move together.
    """
    block = list(range(len(product.tasks)))

    def unite(one: int, other: int) -> None:
        if product.tasks[one].line == product.tasks[other].line:
            old, new = block[other], block[one]
            block[:] = [new if each == old else each for each in block]

    groups: dict[tuple[str, str], int] = {}
    for at, task in enumerate(product.tasks):
        labels = (task.limits.together, *(f"equipment {name}" for name in task.limits.equipment))
        for label in labels if labels[0] else labels[1:]:
            unite(groups.setdefault((task.line, label), at), at)
    for lag in product.lags:
        if lag.before in position and lag.after in position:
            unite(position[lag.before], position[lag.after])
    held: dict[int, list[int]] = {}
    for at, number in enumerate(block):
        held.setdefault(number, []).append(at)
    for tasks in held.values():
        all_have = [name for name in lines[tasks[0]] if all(name in lines[at] for at in tasks)]
        if len(all_have) > 1:
            yield Block(tuple(tasks), tuple(all_have))
        for at in tasks:
            for name in lines[at][1:]:
                if name not in all_have:
                    message = (
                        f"It may be done on line {name} too, but that is not tried: a task that "
                        "shares its station or equipment, or has a time to it, may not."
                    )
                    where = f"Task {product.tasks[at].number}"
                    found.append(warning("other-line-left-out", where, message))
