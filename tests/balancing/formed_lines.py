"""Small lines with limits given in the machine's forms, and every plan of them by trying.

What a form means is written here once more, by nothing of the package: the outside against
which writing, mirroring and grouping are held.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, permutations, product

from hypothesis import strategies as st
from limited_lines import times_and_arrows

from stationflow.balancing.arrows import turned
from stationflow.balancing.limits.forms import (
    WHOLE_LIMIT,
    Distance,
    Form,
    Group,
    Lag,
    Measure,
    Pairs,
    Rate,
    SetUp,
    StationSet,
    Target,
    TimeAt,
    Turns,
    forms_in,
    station_set,
)
from stationflow.balancing.problem import BalanceProblem

SAID = "said so"
NUMBER = st.integers(0, 4)
STATION = st.integers(1, 4)


def formed(
    times: Sequence[int], *forms: object, arrows: Sequence[tuple[int, int]] = (), limit: int = 10
) -> BalanceProblem:
    """Return a problem with arrows (before, after) and these forms."""
    before = tuple(tuple(b for b, a in arrows if a == at) for at in range(len(times)))
    return BalanceProblem(
        times=tuple(times),
        predecessors=before,
        successors=turned(before),
        limit=limit,
        forms=forms_in(forms),  # type: ignore[arg-type]
    )


@st.composite
def a_form(draw: st.DrawFn, form: Form, size: int) -> object:
    """Return a limit of a form on a line of so many tasks."""
    task = st.integers(0, size - 1)
    some = st.lists(task, min_size=1, max_size=3, unique=True).map(tuple)
    two = draw(st.permutations(range(size)))[:2]
    least, most = draw(st.none() | st.integers(-1, 2)), draw(st.none() | st.integers(0, 2))
    at = st.lists(st.tuples(STATION, NUMBER), max_size=2, unique_by=lambda pair: pair[0])
    match form:
        case Form.STATIONS:
            numbers = draw(st.lists(STATION, min_size=1, max_size=3))
            return StationSet(draw(task), station_set(numbers), SAID)
        case Form.GROUPS:
            return Group(tuple(two), SAID)
        case Form.PAIRS:
            return Pairs((two[0],), (two[1],), SAID)
        case Form.MEASURES:
            amounts = tuple(draw(st.lists(NUMBER, min_size=size, max_size=size)))
            return Measure(amounts, draw(st.none() | st.integers(3, 7)), tuple(draw(at)), SAID)
        case Form.RATES:
            amounts = tuple(draw(st.lists(NUMBER, min_size=size, max_size=size)))
            return Rate(tuple(2 * amount for amount in amounts), draw(st.integers(0, 2)), SAID)
        case Form.TARGETS:
            shares = tuple((k, n * WHOLE_LIMIT // 5) for k, n in draw(at))
            return Target(shares, SAID)
        case Form.TIMES:
            return TimeAt(draw(task), draw(STATION), draw(st.integers(0, 9)), SAID)
        case Form.TURNS:
            return Turns((draw(some), draw(some)), draw(st.integers(1, 4)), SAID)
        case Form.SETUPS:
            return SetUp(draw(some), draw(st.integers(1, 2)), draw(st.booleans()), 0, SAID)
        case Form.DISTANCES:
            return Distance(two[0], two[1], least, most, SAID)
    low, high = draw(st.none() | st.integers(-3, 20)), draw(st.none() | st.integers(0, 25))
    return Lag(two[0], two[1], low, high, draw(st.integers(0, 2)), SAID)


@st.composite
def formed_lines(
    draw: st.DrawFn, most: int = 5, forms: Sequence[Form] = tuple(Form)
) -> BalanceProblem:
    """Return a problem of a few tasks with some of these forms."""
    times, arrows = draw(times_and_arrows(most))
    chosen = draw(st.lists(st.sampled_from(forms), min_size=1, max_size=4))
    made = [draw(a_form(form, len(times))) for form in chosen]
    times_at = {(f.task, f.station): f for f in made if isinstance(f, TimeAt)}
    made = [f for f in made if not isinstance(f, TimeAt)] + list(times_at.values())
    return formed(times, *made, arrows=arrows, limit=draw(st.integers(6, 14)))


def loads_by_hand(problem: BalanceProblem, station_of: Sequence[int]) -> dict[int, int]:
    """Return the work of each station in use."""
    loads: dict[int, int] = {}
    for task, at in enumerate(station_of):
        own = [f.time for f in problem.forms.times if (f.task, f.station) == (task, at)]
        loads[at] = loads.get(at, 0) + (own[0] if own else problem.times[task])
    for form in problem.forms.turns:
        for at in loads:
            there = [any(station_of[t] == at for t in kind) for kind in form.kinds]
            loads[at] += form.time * max(0, sum(there) - 1)
    return loads


def holds(problem: BalanceProblem, station_of: Sequence[int]) -> bool:
    """Return whether stations (from 1, by position) keep all limits, in some order of tasks."""
    limit, loads = problem.limit or 0, loads_by_hand(problem, station_of)
    if any(load > limit for load in loads.values()):
        return False
    arrows = [(b, a) for a, row in enumerate(problem.predecessors) for b in row]
    if any(station_of[b] > station_of[a] for b, a in arrows):
        return False
    for form in problem.forms:
        match form:
            case StationSet():
                fine = bool(form.stations >> station_of[form.task] & 1)
            case Group():
                fine = len({station_of[t] for t in form.tasks}) == 1
            case Pairs():
                fine = all(station_of[a] != station_of[b] for a in form.tasks for b in form.others)
            case Measure():
                held: dict[int, int] = {}
                for amount, at in zip(form.amounts, station_of, strict=True):
                    held[at] = held.get(at, 0) + amount
                rooms = {at: dict(form.at).get(at, form.usual) for at in held}
                fine = all(r is None or held[at] <= r for at, r in rooms.items())
            case Rate():
                sums: dict[int, int] = {}
                for amount, at in zip(form.amounts, station_of, strict=True):
                    sums[at] = sums.get(at, 0) + amount
                fine = all(amount <= limit + form.lost for amount in sums.values())
            case Target():
                shares = dict(form.at)
                fine = all(
                    loads[k] <= limit * shares[k] // WHOLE_LIMIT for k in loads if k in shares
                )
            case SetUp():
                fine = _suffices(form, {station_of[t] for t in form.tasks})
            case Distance():
                apart = station_of[form.after] - station_of[form.before]
                fine = (form.least is None or apart >= form.least) and (
                    form.most is None or apart <= form.most
                )
            case _:
                fine = True
        if not fine:
            return False
    return not problem.forms.lags or any(
        _waits(problem, station_of, order) for order in _orders(problem, station_of)
    )


def _suffices(form: SetUp, stations: set[int]) -> bool:
    """Return whether so many can be put at stations, or between two, so that each is served."""
    if form.most is None or not stations:
        return True
    if not form.is_shared:
        return len(stations) <= form.most
    places = [{k, k + 1} for k in range(min(stations) - 1, max(stations) + 1)]
    return any(stations <= set().union(*chosen) for chosen in product(places, repeat=form.most))


def _orders(problem: BalanceProblem, station_of: Sequence[int]) -> Iterator[tuple[int, ...]]:
    arrows = {(b, a) for a, row in enumerate(problem.predecessors) for b in row}
    for order in permutations(range(problem.size)):
        place = {task: at for at, task in enumerate(order)}
        stations = [station_of[t] for t in order]
        if all(a <= b for a, b in pairwise(stations)) and all(
            place[b] < place[a] for b, a in arrows
        ):
            yield order


def _waits(problem: BalanceProblem, station_of: Sequence[int], order: Sequence[int]) -> bool:
    """Return whether the times between tasks are kept in an order of all tasks."""
    for form in problem.forms.lags:
        begun, clock = {}, {}
        pace = (problem.limit or 0) + form.lost
        for task in order:
            at = station_of[task]
            own = [f.time for f in problem.forms.times if (f.task, f.station) == (task, at)]
            begun[task] = clock.get(at, 0)
            clock[at] = begun[task] + (own[0] if own else problem.times[task])
            if task == form.before:
                end = clock[at]
        apart = station_of[form.after] - station_of[form.before]
        time = pace * apart + begun[form.after] - end
        if form.least is not None and time < form.least:
            return False
        if form.most is not None and time > form.most:
            return False
    return True


def orders_hold(problem: BalanceProblem, stations: Sequence[Sequence[int]]) -> bool:
    """Return whether a plan keeps arrows and times between tasks as its stations do them."""
    order = [task for tasks in stations for task in tasks]
    station_of = [0] * problem.size
    for at, tasks in enumerate(stations, 1):
        for task in tasks:
            station_of[task] = at
    arrows = [(b, a) for a, row in enumerate(problem.predecessors) for b in row]
    if any(order.index(b) > order.index(a) for b, a in arrows):
        return False
    return _waits(problem, station_of, order)


def needed_cycle(problem: BalanceProblem, station_of: Sequence[int]) -> int:
    """Return the shortest cycle of a plan: of its work, its target loads and its rates."""
    loads = loads_by_hand(problem, station_of)
    needed = max(loads.values())
    for form in problem.forms.targets:
        needed = max(
            needed,
            *(-(-loads[k] * WHOLE_LIMIT // share) for k, share in form.at if share and k in loads),
            0,
        )
    for form in problem.forms.rates:
        for at in loads:
            there = (form.amounts[t] for t, k in enumerate(station_of) if k == at)
            needed = max(needed, sum(there) - form.lost)
    return needed


def every_formed_plan(problem: BalanceProblem, most: int) -> Iterator[tuple[int, ...]]:
    """Yield the stations by position of every plan of at most so many stations."""
    for station_of in product(range(1, most + 1), repeat=problem.size):
        if holds(problem, station_of):
            yield station_of


def without(problem: BalanceProblem) -> BalanceProblem:
    """Return the problem with nothing entered."""
    return replace(problem, forms=forms_in(()))
