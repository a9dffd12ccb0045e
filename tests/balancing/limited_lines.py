"""Small lines with limits made at random, and every plan of them by trying.

What a limit means is written here once more, in the trade's words and by nothing of the
package: it is the outside against which methods, `verify` and the second solver are held.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from hypothesis import strategies as st

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.work import LineWork
from stationflow.model import Line, StationSetting, TaskLimits

MOST = 5  # stations that limits name


def limited(work: LineWork, *settings: StationSetting, **limits: TaskLimits) -> LineWork:
    """Return a line with limits of tasks by number ("T0") and of stations."""
    tasks = tuple(limits.get(number, TaskLimits()) for number in work.numbers)
    entered = EnteredLimits(numbers=work.numbers, tasks=tasks, line=Line(stations=settings))
    return replace(work, limits=entered)


def line(times: Sequence[int], *arrows: tuple[int, int]) -> LineWork:
    """Return a line of tasks T0, T1 ... with arrows (before, after)."""
    return LineWork(
        line="main",
        numbers=tuple(f"T{at}" for at in range(len(times))),
        times=tuple(times),
        predecessors=tuple(
            tuple(before for before, after in arrows if after == at) for at in range(len(times))
        ),
        ticks=1,
        time_unit="unit",
    )


Drawn = tuple[list[int], list[tuple[int, int]]]


@st.composite
def times_and_arrows(draw: st.DrawFn, most: int, least_time: int = 0) -> Drawn:
    """Return the times of 2 to `most` tasks, at most 9, and some arrows (before, after)."""
    size = draw(st.integers(2, most))
    times = draw(st.lists(st.integers(least_time, 9), min_size=size, max_size=size))
    pairs = [(before, after) for after in range(size) for before in range(after)]
    return times, [pair for pair in pairs if draw(st.integers(0, 3)) == 0]


@st.composite
def limited_lines(draw: st.DrawFn, most: int = 6) -> LineWork:
    """Return a line of a few tasks with limits of every kind."""
    times, arrows = draw(times_and_arrows(most))
    work = line(times, *arrows)
    names = list(work.numbers)
    number = st.none() | st.none() | st.integers(1, MOST)
    limits = st.builds(
        TaskLimits,
        station=st.none() | number,
        earliest_station=number,
        latest_station=number,
        zone=st.sampled_from(("", "", "", "wet", "dry")),
        together=st.sampled_from(("", "", "", "a", "b")),
        apart=st.just(()) | st.lists(st.sampled_from(names), max_size=2).map(tuple),
        equipment=st.just(()) | st.sampled_from(((), ("press",), ("oven", "press"))),
    )
    settings = st.lists(
        st.builds(
            StationSetting,
            number=st.integers(1, MOST),
            zone=st.sampled_from(("", "", "wet", "cold")),
            equipment=st.sampled_from(((), ("press",), ("oven",))),
        ),
        max_size=3,
        unique_by=lambda setting: setting.number,
    )
    entered = {name: draw(st.just(TaskLimits()) | limits) for name in names}
    return limited(work, *draw(settings), **entered)


def keeps_limits(work: LineWork, station_of: Sequence[int]) -> bool:
    """Return whether stations (from 1, by position) keep all that is entered."""
    entered = work.limits
    zone_of = {setting.number: setting.zone for setting in entered.stations if setting.zone}
    having = {setting.number: set(setting.equipment) for setting in entered.stations}
    known = set().union(*having.values()) if having else set()
    zones: dict[int, set[str]] = {at: {zone} for at, zone in zone_of.items()}
    groups: dict[str, set[int]] = {}
    for at, limits in zip(station_of, entered.tasks, strict=True):
        if limits.station is not None and at != limits.station:
            return False
        if not (limits.earliest_station or 1) <= at <= (limits.latest_station or at):
            return False
        if limits.zone:
            if limits.zone in zone_of.values() and zone_of.get(at) != limits.zone:
                return False
            zones.setdefault(at, set()).add(limits.zone)
        if limits.together:
            groups.setdefault(limits.together, set()).add(at)
        if not set(limits.equipment) & known <= having.get(at, set()):
            return False
    for one, limits in enumerate(entered.tasks):
        for number in limits.apart:
            other = entered.numbers.index(number)
            if other != one and station_of[one] == station_of[other]:
                return False
    alone = all(len(names) == 1 for names in zones.values())
    return alone and all(len(where) == 1 for where in groups.values())


def every_plan(work: LineWork, limit: int, most: int) -> Iterator[tuple[int, ...]]:
    """Yield the stations by position of every plan of at most `most` stations."""
    if not work.limits.numbers:
        work = limited(work)
    order: list[int] = []
    while len(order) < len(work.times):
        order += [
            at
            for at, row in enumerate(work.predecessors)
            if at not in order and all(before in order for before in row)
        ]
    station_of = [0] * len(order)
    left = [limit] * (most + 1)

    def fill(placed: int) -> Iterator[tuple[int, ...]]:
        if placed == len(order):
            if keeps_limits(work, station_of):
                yield tuple(station_of)
            return
        at = order[placed]
        first = max((station_of[before] for before in work.predecessors[at]), default=1)
        for station in range(first, most + 1):
            if work.times[at] <= left[station]:
                station_of[at] = station
                left[station] -= work.times[at]
                yield from fill(placed + 1)
                left[station] += work.times[at]

    yield from fill(0)


def fewest(work: LineWork, limit: int) -> int | None:
    """Return the fewest stations of any plan; None: there is none."""
    last = len(work.times) + MOST
    plans = (next(every_plan(work, limit, most), None) for most in range(1, last + 1))
    return next((most for most, plan in enumerate(plans, 1) if plan is not None), None)


def shortest(work: LineWork, most: int) -> int | None:
    """Return the shortest cycle of any plan of so many stations; None: there is none."""
    for limit in range(max(work.times), sum(work.times) + 1):
        if next(every_plan(work, limit, most), None) is not None:
            return limit
    return None
