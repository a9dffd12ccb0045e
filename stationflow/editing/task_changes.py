"""Insert, duplicate, move and take out tasks, and say what comes before and after them.

Each function returns a `TaskChange`: the product after it, not yet stored, and what
happens in words. Where no source is named, the rules are common practice, no source.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

from stationflow.editing.renumbering import number_between, numbers_between
from stationflow.editing.task_mentions import TaskChange, TaskChangeError, is_named, words_of
from stationflow.model import Product, Task
from stationflow.model.references import Thing, mentions, renamed, without
from stationflow.model.schema.cells import capital


def insert_task(product: Product, place: int, *, after: bool) -> TaskChange:
    """Return the product with an empty task listed before or after another, on its line.

    The number lies between the neighbours' when one is free there, else it is the next.
    The new task has no arrows: the place in the list says nothing about precedence.
    """
    beside = product.tasks[place]
    at = place + 1 if after else place
    low, high = _neighbours(product, place, after=after)
    number = number_between(low, high, {task.number for task in product.tasks})
    tasks = (*product.tasks[:at], Task(number=number, line=beside.line), *product.tasks[at:])
    where = f"{'after' if after else 'before'} task {beside.number}"
    words = f"Task {number} is new {where}; it has no arrows yet."
    return TaskChange(replace(product, tasks=tasks), at, words)


def _neighbours(product: Product, place: int, *, after: bool) -> tuple[str, str]:
    """Return the numbers of a line before and after the place of a new task; empty: none."""
    line = product.tasks[place].line
    numbers = [(at, task.number) for at, task in enumerate(product.tasks) if task.line == line]
    at = [other for other, _ in numbers].index(place) + (1 if after else 0)
    low = numbers[at - 1][1] if at > 0 else ""
    high = numbers[at][1] if at < len(numbers) else ""
    return low, high


def free_numbers_after(product: Product, place: int, count: int) -> tuple[str, ...]:
    """Return free numbers for tasks that come right after another in the list."""
    low, high = _neighbours(product, place, after=True)
    return numbers_between(low, high, count, {task.number for task in product.tasks})


def duplicate_task(product: Product, place: int) -> TaskChange:
    """Return the product with a copy of a task listed right after it.

    The copy has everything of the original: times, steps, parts, tools, checks, cautions,
    limits, and its arrows in, so that it waits for the same tasks. It has no arrows out:
    no task waits for the copy until the engineer says so. What others say about the
    original (arrows, joins, times between tasks, tasks to be kept apart) stays with it.
    """
    task = product.tasks[place]
    (number,) = free_numbers_after(product, place, 1)
    copy = replace(task, number=number)
    tasks = (*product.tasks[: place + 1], copy, *product.tasks[place + 1 :])
    words = (
        f"Task {number} is a copy of task {task.number}. It waits for the same tasks; no task "
        "waits for it yet."
    )
    return TaskChange(replace(product, tasks=tasks), place + 1, words)


def move_task(product: Product, place: int, steps: int) -> TaskChange:
    """Return the product with a task listed earlier or later on its line; arrows stay.

    `steps` counts tasks of its line: -1 is up by one, 1 is down by one.

    Raises `TaskChangeError` if the list of the line ends there.
    """
    task = product.tasks[place]
    line = [at for at, other in enumerate(product.tasks) if other.line == task.line]
    target = line.index(place) + steps
    if not 0 <= target < len(line):
        edge = "first" if steps < 0 else "last"
        raise TaskChangeError(
            f"Task {task.number} is the {edge} of line {task.line} already.", "Nothing was moved."
        )
    order = [product.tasks[at] for at in line]
    order.insert(target, order.pop(line.index(place)))
    moved = dict(zip(line, order, strict=True))
    tasks = tuple(moved.get(at, other) for at, other in enumerate(product.tasks))
    words = f"Task {task.number} is listed {'earlier' if steps < 0 else 'later'}; its arrows stay."
    return TaskChange(replace(product, tasks=tasks), line[target], words)


def delete_tasks(product: Product, places: Collection[int], *, heal: bool) -> TaskChange:
    """Return the product without some tasks.

    Arrows from and to the tasks go with them, and so do times between tasks and limits
    that name them. What else names one of them stays, and a finding names it. To `heal` is
    to let the tasks that waited for a deleted one wait for its predecessors instead, so that
    the order of the tasks that are left does not change.

    Raises `TaskChangeError` if no task is chosen.
    """
    if not places:
        raise TaskChangeError("No task is chosen to be deleted.", "Choose a task first.")
    gone = {product.tasks[at].number: product.tasks[at] for at in places if is_named(product, at)}
    followed = product
    if heal:
        healed = {number: _left_before(number, gone) for number in gone}
        followed = renamed(
            product, Thing.TASK, lambda r: healed if r.path == "tasks.predecessors" else {}
        )
    followed = without(followed, Thing.TASK, gone)
    left = [at for at in range(len(product.tasks)) if at not in places]
    tasks = tuple(
        _without_own_arrow(followed.tasks[at], had=product.tasks[at].predecessors) for at in left
    )
    words = _deleted_words(product, places, tuple(gone), followed, heal=heal)
    return TaskChange(replace(followed, tasks=tasks), _next_choice(product, places, left), words)


def _left_before(number: str, gone: dict[str, Task]) -> tuple[str, ...]:
    """Return the nearest tasks before a deleted one that are not deleted themselves."""
    found: dict[str, None] = {}
    seen, waiting = {number}, [number]
    while waiting:
        for before in gone[waiting.pop(0)].predecessors:
            if before not in gone:
                found[before] = None
            elif before not in seen:
                seen.add(before)
                waiting.append(before)
    return tuple(found)


def _without_own_arrow(task: Task, had: Sequence[str]) -> Task:
    """Return a task that does not wait for itself, unless it did before."""
    if task.number in task.predecessors and task.number not in had:
        others = tuple(number for number in task.predecessors if number != task.number)
        return replace(task, predecessors=others)
    return task


def _next_choice(product: Product, places: Collection[int], left: Sequence[int]) -> int | None:
    """Return the place, after the change, of the task listed where the first deleted one was."""
    first = min(places)
    same_line = [at for at in left if product.tasks[at].line == product.tasks[first].line]
    nearest = min(same_line or left, key=lambda at: (at < first, abs(at - first)), default=None)
    return None if nearest is None else left.index(nearest)


def _deleted_words(
    product: Product, places: Collection[int], gone: Sequence[str], followed: Product, *, heal: bool
) -> str:
    """Return in words what goes with some tasks."""
    numbers = [product.tasks[at].number for at in sorted(places)]
    task, are, them = ("Task", "is", "it") if len(numbers) == 1 else ("Tasks", "are", "them")
    words = [f"{task} {words_of(numbers)} {are} out."]
    followers = [
        other.number
        for at, other in enumerate(product.tasks)
        if at not in places and not set(gone).isdisjoint(other.predecessors)
    ]
    if followers:
        waits = "waits" if len(followers) == 1 else "wait"
        what = "the tasks before instead" if heal else f"{them} no more"
        words.append(f"{_few(followers)} {waits} for {what}.")
    if lost := len(product.lags) - len(followed.lags):
        times = "time between tasks goes" if lost == 1 else "times between tasks go"
        words.append(f"{lost} {times} too.")
    named = dict.fromkeys(m.words for m in mentions(followed, Thing.TASK) if m.name in gone)
    if named:
        who = words_of(tuple(named)) if len(named) <= 6 else f"{len(named)} places"
        names = "names" if len(named) == 1 else "name"
        which = "it" if len(gone) == 1 else "one of them"
        words.append(f"{capital(who)} still {names} {which}: choose another task there.")
    return " ".join(words)


def _few(numbers: Sequence[str]) -> str:
    """Return tasks in words, many of them counted."""
    if len(numbers) > 6:
        return f"{len(numbers)} tasks"
    return f"{'Task' if len(numbers) == 1 else 'Tasks'} {words_of(numbers)}"


def with_predecessors(product: Product, place: int, numbers: Sequence[str]) -> TaskChange:
    """Return the product with the predecessors of one task set."""
    task = replace(product.tasks[place], predecessors=tuple(dict.fromkeys(numbers)))
    before = words_of(task.predecessors) if task.predecessors else "no other task"
    tasks = (*product.tasks[:place], task, *product.tasks[place + 1 :])
    words = f"Task {task.number} waits for {before}."
    return TaskChange(replace(product, tasks=tasks), place, words)


def followers_of(product: Product, number: str) -> tuple[str, ...]:
    """Return the numbers of the tasks that wait directly for a task, in listed order."""
    waiting = (task.number for task in product.tasks if number in task.predecessors)
    return tuple(dict.fromkeys(waiting))


def with_followers(product: Product, place: int, numbers: Sequence[str]) -> TaskChange:
    """Return the product with the tasks that wait directly for one task set.

    Of tasks that share a number the first is meant; another one that waits already stays
    as it is while the number stays among the followers.
    """
    own = product.tasks[place].number
    tasks = []
    for at, task in enumerate(product.tasks):
        if own in task.predecessors and task.number not in numbers:
            others = tuple(number for number in task.predecessors if number != own)
            task = replace(task, predecessors=others)
        elif own not in task.predecessors and task.number in numbers and is_named(product, at):
            task = replace(task, predecessors=(*task.predecessors, own))
        tasks.append(task)
    who = words_of(tuple(numbers)) if numbers else "No task"
    waits = "waits" if len(numbers) < 2 else "wait"
    words = f"{who} {waits} for task {own}."
    return TaskChange(replace(product, tasks=tuple(tasks)), place, words)
