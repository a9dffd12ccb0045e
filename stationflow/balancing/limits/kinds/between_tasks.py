"""Between two tasks: how many stations, and how much time at the pace of the line."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Distance, Lag, Limit


def _between(least: object, most: object, unit: str) -> str:
    bounds = ((least, "at least"), (most, "at most"))
    return ", ".join(f"{words} {n} {unit}" for n, words in bounds if n is not None)


def _seconds(time_ms: int | None) -> str | None:
    return None if time_ms is None else f"{time_ms / 1000:g}"


def _forms(entered: EnteredLimits) -> Iterator[Distance | Lag]:
    position = {number: task for task, number in enumerate(entered.numbers)}
    for lag in entered.own_lags:
        before, after = position[lag.before], position[lag.after]
        tasks = f"between tasks {lag.before} and {lag.after} lie"
        if (least := lag.least_stations) is not None or lag.most_stations is not None:
            said = f"task {lag.after} is {_between(least, lag.most_stations, 'stations')} after"
            yield Distance(before, after, least, lag.most_stations, f"{said} task {lag.before}")
        if lag.shortest_ms is not None or lag.longest_ms is not None:
            said = _between(_seconds(lag.shortest_ms), _seconds(lag.longest_ms), "s")
            lost = entered.line.repositioning_ms
            yield Lag(before, after, lag.shortest_ms, lag.longest_ms, lost, f"{tasks} {said}")


LIMIT = Limit(
    name="time or stations between tasks", line_fields=("repositioning_ms",), forms=_forms
)
