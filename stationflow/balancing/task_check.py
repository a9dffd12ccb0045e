"""Checks of tasks and precedence: every finding that needs more than one task."""

import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal

from stationflow.balancing.arrows import circles, redundant_arrows
from stationflow.model import Finding, Line, Product, Severity, Task, TimeLag, error, note, warning
from stationflow.model.references import Thing, unknown_names
from stationflow.units import exact

Found = tuple[frozenset[str], Finding]
"""The names of the lines a finding speaks of, and the finding."""

NAMED = (Thing.LINE, Thing.TASK, Thing.MODEL, Thing.EQUIPMENT, Thing.ZONE)
"""What must be there for a balance; parts and pictures are checked where they are used."""

SHARES_OFF = Decimal("0.0015")
"""Three shares of 0.333 add up to 1 as well as they can be written."""

SHOWN = 12
"""How many names a message gives before it says how many more there are."""


def check_tasks(product: Product) -> tuple[Finding, ...]:
    """Return every finding about the tasks of a product and their precedence."""
    return tuple(finding for _, finding in _all_found(product))


def line_findings(product: Product, line: str) -> tuple[Finding, ...]:
    """Return the errors and warnings about the tasks of one line."""
    return tuple(
        finding
        for lines, finding in _all_found(product, with_notes=False)
        if line in lines and finding.severity != Severity.NOTE
    )


def shortened(names: Sequence[str]) -> str:
    """Return names, such as task numbers, as a list in words, shortened when it is long.

    >>> shortened(["10", "20"])
    '10, 20'
    """
    shown = ", ".join(names[:SHOWN])
    more = len(names) - SHOWN
    return f"{shown} and {more} more" if more > 0 else shown


def circle_finding(numbers: Sequence[str]) -> Finding:
    """Return the finding that names the tasks of a circle, in the order of the arrows."""
    way = " -> ".join([*numbers, numbers[0]])
    message = f"These tasks wait for each other in a circle: {way}."
    return error("precedence-circle", f"Task {numbers[0]}", message)


def _all_found(product: Product, *, with_notes: bool = True) -> Iterator[Found]:
    """Yield all findings, row by row first."""
    yield from _numbers(product)
    yield from _unknown(product)
    yield from _models(product)
    yield from _times(product)
    yield from _heavy(product)
    yield from _own_arrows(product)
    yield from _order(product, with_notes)


def _numbers(product: Product) -> Iterator[Found]:
    lines: dict[str, set[str]] = defaultdict(set)
    for row, task in enumerate(product.tasks, 1):
        lines[task.number].add(task.line)
        if not task.number.strip():
            message = f"It has no number; its name is {task.name!r}."
            yield (
                frozenset({task.line}),
                error("task-without-number", f"Task in row {row}", message),
            )
    alike: dict[str, list[str]] = defaultdict(list)
    for number, count in Counter(task.number for task in product.tasks).items():
        if not number.strip():
            continue
        alike[_likeness(number)].append(number)
        if count > 1:
            message = f"The number is used {count} times."
            yield frozenset(lines[number]), error("duplicate-task", f"Task {number}", message)
    for group in alike.values():
        if len(group) > 1:
            named = ", ".join(repr(number) for number in group)
            message = f"The task numbers {named} look alike."
            finding = warning("lookalike-numbers", f"Task {group[0]}", message)
            yield frozenset().union(*(lines[n] for n in group)), finding


def _likeness(number: str) -> str:
    """Return a number without spaces, case, kind of dash and leading zeros."""
    folded = unicodedata.normalize("NFKC", number).casefold()
    dashed = "".join("-" if unicodedata.category(c) == "Pd" or c == "−" else c for c in folded)  # noqa: RUF001
    return "".join(dashed.split()).lstrip("0") or "0"


def _unknown(product: Product) -> Iterator[Found]:
    """Yield names of lines, tasks, models, equipment and zones that the product has not."""
    line_of = {task.number: task.line for task in reversed(product.tasks)}
    for mention, finding in unknown_names(product, NAMED):
        match mention.records[0][0]:
            case TimeLag(before=before, after=after):
                yield frozenset(line_of[n] for n in (before, after) if n in line_of), finding
            case Line(name=line) | Task(line=line):
                yield frozenset({line}), finding


def _models(product: Product) -> Iterator[Found]:
    """Yield models of one name, and shares that do not add up: the mean times rest on both."""
    lines = frozenset(line.name for line in product.lines)
    for name, number in Counter(model.name for model in product.models).items():
        if number > 1:
            message = f"{number} models have the name {name!r}."
            yield lines, error("duplicate-model", f"Model {name}", message)
    total = sum((exact(model.share) for model in product.models), Decimal(0))
    if product.models and abs(total - 1) > SHARES_OFF:
        message = f"The shares of the models add up to {total:f}"
        message += ", not to 1; the mean times count them in proportion."
        if not total:
            message = "No share of a model is entered; the mean times count all models alike."
        yield lines, warning("share-sum", "Models", message)


def _times(product: Product) -> Iterator[Found]:
    models = [model.name for model in product.models] or [""]
    for task in product.tasks:
        here, where = frozenset({task.line}), f"Task {task.number}"
        missing = [model for model in models if task.time_ms_for(model) is None]
        if missing:
            of = "" if len(missing) == len(models) else f" for model {shortened(missing)}"
            yield here, error("task-without-time", where, f"It has no time{of}.")
        elif not any(task.time_ms_for(model) for model in models):
            yield here, warning("task-time-zero", where, "Its time is zero.")


def _heavy(product: Product) -> Iterator[Found]:
    """Yield tasks with a mass above what one person of their line lifts at once."""
    most = {line.name: line.lift_kg for line in product.lines}
    for task in product.tasks:
        mass, limit = task.limits.lift_kg, most.get(task.line)
        if mass is not None and limit is not None and mass > limit:
            message = f"{mass:g} kg are lifted by hand, more than the {limit:g} kg of one person."
            yield frozenset({task.line}), warning("lift-too-heavy", f"Task {task.number}", message)


def _own_arrows(product: Product) -> Iterator[Found]:
    for task in product.tasks:
        if task.number in task.predecessors:
            message = "It names itself as its predecessor."
            yield frozenset({task.line}), error("own-predecessor", f"Task {task.number}", message)


def _order(product: Product, with_notes: bool) -> Iterator[Found]:
    """Yield the circles; without one the arrows that follow from others, and the dead ends."""
    tasks = list({task.number: task for task in product.tasks}.values())
    position = {task.number: at for at, task in enumerate(tasks)}
    predecessors = [
        tuple(
            position[p]
            for p in dict.fromkeys(task.predecessors)
            if p in position and p != task.number
        )
        for task in tasks
    ]
    found = circles(predecessors)
    for circle in found:
        lines = frozenset(tasks[at].line for at in circle)
        yield lines, circle_finding([tasks[at].number for at in circle])
    if with_notes and not found:
        needless = defaultdict(list)
        for before, after in redundant_arrows(predecessors):
            needless[tasks[after].line].append(f"{tasks[before].number} to {tasks[after].number}")
        for line, arrows in needless.items():
            message = f"Arrows that follow from other arrows: {shortened(arrows)}."
            yield frozenset({line}), note("redundant-arrow", f"Line {line}", message)
        yield from _dead_ends(product, tasks)


def _dead_ends(product: Product, tasks: Sequence[Task]) -> Iterator[Found]:
    """Yield the tasks nothing waits for: all of a line but the last, once its order is entered."""
    waited_for = {n for task in tasks for n in task.predecessors if n != task.number}
    joins = {line.join for line in product.lines} | {each.join for each in product.joins}
    for name in dict.fromkeys(task.line for task in tasks if task.predecessors):
        ends = [t.number for t in tasks if t.line == name and t.number not in waited_for]
        for number in ends[:-1]:
            if number.strip() and number not in joins:
                message = f"No task comes after it, and task {ends[-1]} is the last of its line."
                yield frozenset({name}), note("task-without-follower", f"Task {number}", message)
