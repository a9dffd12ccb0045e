"""Numbers of tasks: one that is free between two others, a line numbered anew, ranges."""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from stationflow.editing.renaming import fresh_number
from stationflow.editing.task_mentions import TaskChange, TaskChangeError, is_named
from stationflow.model import Product
from stationflow.model.references import Thing, renamed
from stationflow.model.schema.cells import split_list

ENDING_IN_DIGITS = re.compile(r"(.*?)([0-9]+)", re.ASCII | re.DOTALL)
SPACED_DASH = re.compile(r"(?<=[^\s;,/])[ \t]+[-\u2010-\u2015][ \t]+(?=[^\s;,/])")
LONGEST_WIDTH = 9


def number_between(low: str, high: str, taken: Collection[str]) -> str:
    """Return a free task number between two others, else the next free one.

    Of the free numbers the one nearest to the middle is taken, with the letters
    before the digits and the leading zeros of its neighbours.

    `low` and `high` are the numbers of the task before and the task after; empty: there is none.

    Common practice, no source: tasks are numbered in tens so that others fit between.

    >>> number_between("10", "20", {"10", "20"})
    '15'
    >>> number_between("b3", "b4", {"b3", "b4", "b9"})
    'b10'
    >>> number_between("030", "", {"030"})
    '040'
    """
    below, above = _parts(low), _parts(high)
    if (low and below is None) or (high and above is None):
        return fresh_number(taken)
    prefix, width = _form(below or above)
    if above is not None and (below is None or below[0] == above[0]):
        first, last = (below[1] if below else 0), above[1]
        middle = (first + last) / 2
        for value in sorted(range(first + 1, last), key=lambda v: (abs(v - middle), v))[:2000]:
            number = f"{prefix}{value:0{width}d}"
            if number not in taken:
                return number
    return _next_number(prefix, width, taken)


def numbers_between(low: str, high: str, count: int, taken: Collection[str]) -> tuple[str, ...]:
    """Return some free task numbers between two others, evenly spread where that is free.

    >>> numbers_between("30", "40", 2, {"30", "40"})
    ('33', '36')
    """
    below, above = _parts(low), _parts(high)
    if below is not None and above is not None and below[0] == above[0]:
        prefix, width = _form(below)
        gap = above[1] - below[1]
        values = [below[1] + gap * i // (count + 1) for i in range(1, count + 1)]
        spread = [f"{prefix}{value:0{width}d}" for value in values]
        if count < gap and len({*spread, *taken}) == count + len({*taken}):
            return tuple(spread)
    found: list[str] = []
    for _ in range(count):
        found.append(number_between(low, high, {*taken, *found}))
    return tuple(sorted(found, key=lambda number: (len(number), number)))


def _parts(number: str) -> tuple[str, int, int] | None:
    """Return letters, value and width of the digits at the end; None: there are none."""
    found = ENDING_IN_DIGITS.fullmatch(number)
    if found is None or len(found[2]) > LONGEST_WIDTH:
        return None
    width = len(found[2]) if found[2].startswith("0") else 0
    return found[1], int(found[2]), width


def _form(parts: tuple[str, int, int] | None) -> tuple[str, int]:
    """Return letters and width of the digits of a number."""
    return (parts[0], parts[2]) if parts else ("", 0)


def _next_number(prefix: str, width: int, taken: Collection[str]) -> str:
    """Return the number after the largest taken one: ten more, or one more behind letters."""
    values = [p[1] for p in map(_parts, taken) if p is not None and p[0] == prefix]
    largest = max(values, default=0)
    value = largest + 1 if prefix else largest // 10 * 10 + 10
    while f"{prefix}{value:0{width}d}" in taken:
        value += 1
    return f"{prefix}{value:0{width}d}"


def renumber_line(
    product: Product,
    line: str,
    *,
    start: int = 10,
    step: int = 10,
    width: int = 0,
    letters: str = "",
) -> TaskChange:
    """Return the product with the tasks of a line numbered anew in listed order.

    Every mention follows: predecessors, limits, times between tasks, joins. Where two
    tasks bear one number, mentions go to the first of them. `width` is the least count of
    digits: 3 gives "010"; `letters` stand in front of them: "b" gives "b10".

    Raises `TaskChangeError` if the line has no task, a number could not be, or a new number belongs
    to a task of another line.
    """
    places = [at for at, task in enumerate(product.tasks) if task.line == line]
    if not places:
        raise TaskChangeError(f"Line {line} has no tasks to number.", "Add tasks first.")
    if start < 0 or step < 1 or not 0 <= width <= LONGEST_WIDTH:
        raise TaskChangeError(
            f"Numbers from {start} in steps of {step} with {width} digits cannot be.",
            f"Start at 0 or more, take steps of 1 or more and at most {LONGEST_WIDTH} digits.",
        )
    numbers = [f"{letters}{start + i * step:0{width}d}" for i in range(len(places))]
    _refuse_taken(product, line, set(numbers), letters)
    new = {
        product.tasks[place].number: (number,)
        for place, number in zip(places, numbers, strict=True)
        if is_named(product, place) and product.tasks[place].number != number
    }
    followed = renamed(product, Thing.TASK, lambda _: new)
    tasks = list(followed.tasks)
    for place, number in zip(places, numbers, strict=True):
        tasks[place] = replace(tasks[place], number=number)
    changed = sum(product.tasks[place].number != tasks[place].number for place in places)
    words = (
        f"{changed} of {len(places)} tasks of line {line} get a new number, from {numbers[0]} to "
        f"{numbers[-1]}; arrows, limits, joins and times between tasks follow."
    )
    return TaskChange(replace(followed, tasks=tuple(tasks)), places[0], words)


def _refuse_taken(product: Product, line: str, numbers: set[str], letters: str) -> None:
    """Raise when a task of another line bears one of the numbers."""
    others = {task.number: task for task in product.tasks if task.line != line}
    taken = next((task for number, task in others.items() if number in numbers), None)
    if taken is not None:
        free = _next_number(letters, 0, others).removeprefix(letters)
        raise TaskChangeError(
            f"The number {taken.number} belongs to the task “{taken.name}” of line {taken.line}.",
            f"Start at {free}, or put a letter in front of the numbers of line {line}.",
        )


def read_numbers(text: str, product: Product, own: str = "") -> tuple[str, ...]:
    """Return the task numbers that a person typed; "20-40" means all tasks listed from 20 to 40.

    A range takes the tasks that exist, in listed order; of one line when both its ends
    are on one line. It leaves out the task itself. What is known as a whole number of a
    task is never taken for a range, and a range with an unknown end stays as it was typed,
    so that it is named as unknown.
    """
    known = frozenset(task.number for task in product.tasks)
    if not known.issuperset(split_list(text, r"[,/\s]+", known)):
        text = SPACED_DASH.sub("-", text)
    numbers: list[str] = []
    for item in split_list(text, r"[,/\s]+", known):
        between = None if item in known else _range(item, product)
        numbers += [item] if between is None else [n for n in between if n != own]
    return tuple(dict.fromkeys(numbers))


def _range(item: str, product: Product) -> Sequence[str] | None:
    """Return the numbers a range stands for; None: it is none."""
    place = {task.number: at for at, task in reversed(list(enumerate(product.tasks)))}
    for dash in re.finditer(r"[-\u2010-\u2015]", item):
        ends = item[: dash.start()].strip(), item[dash.end() :].strip()
        if not (ends[0] in place and ends[1] in place):
            continue
        first, last = sorted(place[end] for end in ends)
        lines = {product.tasks[first].line, product.tasks[last].line}
        return [
            task.number
            for task in product.tasks[first : last + 1]
            if len(lines) > 1 or task.line in lines
        ]
    return None
