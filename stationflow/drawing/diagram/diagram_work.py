"""What a precedence diagram is drawn from, and which arrows are drawn how."""

from dataclasses import dataclass

from stationflow.balancing.arrows import knots, longest_path, redundant_arrows
from stationflow.balancing.limits.entered import NOTHING, EnteredLimits
from stationflow.balancing.work import LineWork, mean_time_ms
from stationflow.model import Product, Task
from stationflow.units import TimeUnit, show_seconds

Arrow = tuple[int, int]  # positions (before, after)


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftWork:
    """The tasks of a line as they are, even untimed, doubled or in a circle."""

    line: str
    numbers: tuple[str, ...]
    times: tuple[int | None, ...]  # in whole ticks; None: not yet timed
    predecessors: tuple[tuple[int, ...], ...]
    ticks: int = 1000
    time_unit: str = "s"
    limits: EnteredLimits = NOTHING


DiagramWork = DraftWork | LineWork  # a line that cannot be balanced yet, or one that can


def draft_work(product: Product, line_name: str) -> DraftWork:
    """Return the tasks of a line for drawing, whatever is wrong with them.

    Arrows from tasks that do not exist on this line are left out. Where a
    number is used twice, arrows go to the first task of it.
    """
    tasks = product.tasks_of(line_name)
    position: dict[str, int] = {}
    for at, task in enumerate(tasks):
        position.setdefault(task.number, at)
    return DraftWork(
        line=line_name,
        numbers=tuple(task.number for task in tasks),
        times=tuple(_time_ms(product, task) for task in tasks),
        predecessors=tuple(
            tuple(dict.fromkeys(position[p] for p in task.predecessors if p in position))
            for task in tasks
        ),
        limits=EnteredLimits(
            numbers=tuple(task.number for task in tasks),
            tasks=tuple(task.limits for task in tasks),
        ),
    )


def _time_ms(product: Product, task: Task) -> int | None:
    """Return the time of a task in ms, the mean of the models; None: not timed for every model."""
    models = [model.name for model in product.models]
    times = [task.time_ms_for(name) for name in models] if models else [task.time_ms]
    return None if None in times else mean_time_ms(product, task)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnArrows:
    """Which arrows are drawn how."""

    plain: tuple[Arrow, ...]  # arrows of the drawing that close no circle
    circle: tuple[Arrow, ...]  # arrows on a circle
    redundant: int  # how many arrows are left out since they follow from others
    # positions on the longest path by time; empty with a circle
    path: tuple[int, ...]
    # the arrows that close no circle, redundant ones included, by position
    predecessors: tuple[tuple[int, ...], ...]


def drawn_arrows(work: DiagramWork) -> DrawnArrows:
    """Return which arrows are drawn how. A task without a time counts as 0 in the longest path."""
    knot = {at: n for n, members in enumerate(knots(work.predecessors)) for at in members}
    arrows = [(before, at) for at, row in enumerate(work.predecessors) for before in row]
    circle = tuple((a, b) for a, b in arrows if b in knot and knot[b] == knot.get(a))
    on_circle = set(circle)
    sound = tuple(
        tuple(before for before in row if (before, at) not in on_circle)
        for at, row in enumerate(work.predecessors)
    )
    redundant = set(redundant_arrows(sound))
    path: tuple[int, ...] = ()
    if not circle:
        path = longest_path([time or 0 for time in work.times], sound)
    return DrawnArrows(
        plain=tuple(a for a in arrows if a not in redundant and a not in on_circle),
        circle=circle,
        redundant=len(redundant),
        path=path,
        predecessors=sound,
    )


def shown_time(work: DiagramWork, ticks: int | None, unit: TimeUnit = TimeUnit.SECOND) -> str:
    """Return a time of the work as it stands in a picture."""
    if ticks is None:
        return "no time"
    if work.time_unit != TimeUnit.SECOND:
        return f"{ticks / work.ticks:g}"
    return show_seconds(ticks / work.ticks, unit)
