"""What the engineer entered for a line beyond times and order, as it stands in the product."""

from dataclasses import dataclass

from stationflow.model import Line, LineForm, Pins, Product, StationSetting, TaskLimits, TimeLag
from stationflow.model.plan import NO_PINS


@dataclass(frozen=True, slots=True, kw_only=True)
class EnteredLimits:
    """What was entered for a line; the default is nothing at all."""

    # task numbers of the line in listed order, where any limit is entered
    numbers: tuple[str, ...] = ()
    tasks: tuple[TaskLimits, ...] = ()  # the limits of these tasks, in the same order
    stations: tuple[StationSetting, ...] = ()  # what is special about single stations
    lags: tuple[TimeLag, ...] = ()  # times between tasks of which at least one is on the line
    line_form: LineForm = LineForm.STRAIGHT  # straight, U-line or two-sided
    pins: Pins = NO_PINS  # what a balance was asked to leave where it is
    unread: tuple[str, ...] = ()  # what a published instance asks for and nothing reads


NOTHING = EnteredLimits()


def entered_limits(product: Product, line: Line) -> EnteredLimits:
    """Return what is entered for one line of a product."""
    tasks = product.tasks_of(line.name)
    numbers = {task.number for task in tasks}
    return EnteredLimits(
        numbers=tuple(task.number for task in tasks),
        tasks=tuple(task.limits for task in tasks),
        stations=line.stations,
        lags=tuple(lag for lag in product.lags if {lag.before, lag.after} & numbers),
        line_form=line.form,
    )
