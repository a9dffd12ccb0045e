"""What the engineer entered for a line beyond times and order, as it stands in the product."""

from dataclasses import dataclass, field

from stationflow.model import (
    Equipment,
    Line,
    LineForm,
    Pins,
    Product,
    StationSetting,
    StationTime,
    TaskLimits,
    TimeLag,
)
from stationflow.model.plan import NO_PINS


@dataclass(frozen=True, slots=True, kw_only=True)
class EnteredLimits:
    """What was entered for a line; the default is nothing at all."""

    # task numbers of the line in listed order, where any limit is entered
    numbers: tuple[str, ...] = ()
    tasks: tuple[TaskLimits, ...] = ()  # the limits of these tasks, in the same order
    # times at single stations, by task in the same order; empty: none for any
    station_times: tuple[tuple[StationTime, ...], ...] = ()
    line: Line = field(default_factory=Line)  # its stations, and what holds for all of them
    equipment: tuple[Equipment, ...] = ()  # what the plant has
    lags: tuple[TimeLag, ...] = ()  # between tasks of which at least one is on the line
    pins: Pins = NO_PINS  # what a balance was asked to leave where it is
    unread: tuple[str, ...] = ()  # what a published instance asks for and nothing reads

    @property
    def stations(self) -> tuple[StationSetting, ...]:
        """What is special about single stations."""
        return self.line.stations

    @property
    def line_form(self) -> LineForm:
        """Straight, U-line or two-sided."""
        return self.line.form

    @property
    def own_lags(self) -> tuple[TimeLag, ...]:
        """The lags between two tasks of the line."""
        known = set(self.numbers)
        pairs = ((lag, {lag.before, lag.after}) for lag in self.lags)
        return tuple(lag for lag, ends in pairs if len(ends) == 2 and ends <= known)


NOTHING = EnteredLimits()


def entered_limits(product: Product, line: Line) -> EnteredLimits:
    """Return what is entered for one line of a product."""
    tasks = product.tasks_of(line.name)
    numbers = {task.number for task in tasks}
    return EnteredLimits(
        numbers=tuple(task.number for task in tasks),
        tasks=tuple(task.limits for task in tasks),
        station_times=tuple(task.station_times for task in tasks),
        line=line,
        equipment=product.equipment,
        lags=tuple(lag for lag in product.lags if {lag.before, lag.after} & numbers),
    )
