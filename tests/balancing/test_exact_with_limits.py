"""The exact search of lines with limits against trying every plan.

What a limit means is written here once more, so that nothing of the search is trusted.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest

from stationflow.balancing.arrows import turned
from stationflow.balancing.goals import Outcome, reach_goal
from stationflow.balancing.limits.forms import (
    WHOLE_LIMIT,
    AnyForm,
    Distance,
    Measure,
    Pairs,
    Rate,
    StationSet,
    Target,
    TimeAt,
    Turns,
    forms_in,
)
from stationflow.balancing.methods.exact import Exact
from stationflow.balancing.methods.method import Options, Watch
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import BalanceSettings, Ending

TASKS = 9
SEEDS = range(300)


def made_line(seed: int) -> tuple[BalanceProblem, int]:
    """Return a line with limits of many kinds, and a number of stations."""
    chance = random.Random(seed)
    last = chance.randint(3, 5)
    times = tuple(chance.randint(0, 9) for _ in range(TASKS))
    before = tuple(tuple(b for b in range(t) if chance.random() < 0.15) for t in range(TASKS))

    def station() -> int:
        return chance.randint(1, last)

    def some() -> tuple[int, int]:
        one, other = sorted(chance.sample(range(TASKS), 2))
        return one, other

    def own() -> int:
        some = sum(1 << k for k in range(1, last + 2) if chance.random() < 0.6)
        return chance.choice((1 << station(), -1 << station(), (2 << station()) - 2, some or 2))

    forms: list[AnyForm] = [
        StationSet(task, own(), "") for task in range(TASKS) if chance.random() < 0.15
    ]
    forms += [Pairs(some()[:1], some()[1:], "") for _ in range(chance.randint(0, 3))]
    for _ in range(chance.choice((0, 1, 1, 2))):
        amounts = tuple(chance.choice((0, 0, chance.randint(1, 5))) for _ in times)
        rooms = tuple((station(), chance.randint(2, 9)) for _ in range(chance.choice((0, 0, 1))))
        forms.append(Measure(amounts, chance.choice((None, chance.randint(5, 9))), rooms, ""))
    if chance.random() < 0.3:
        forms.append(Rate(tuple(chance.randint(0, 5) for _ in times), chance.choice((0, 2)), ""))
    if chance.random() < 0.4:
        forms.append(Target(((station(), chance.randint(500_000, WHOLE_LIMIT)),), ""))
    for _ in range(chance.choice((0, 0, 1, 2))):
        forms.append(TimeAt(chance.randrange(TASKS), station(), chance.randint(0, 9), ""))
    if chance.random() < 0.4:
        mixed = chance.sample(range(TASKS), 6)
        kinds = (tuple(mixed[:2]), tuple(mixed[2:4]), tuple(mixed[4:]))
        forms.append(Turns(kinds, chance.randint(1, 4), ""))
    for _ in range(chance.choice((0, 1, 2, 3))):
        least = chance.choice((None, 0, 1, 2, -1))
        more = chance.choice((None, 0, 1, 2))
        most = None if more is None else (least or 0) + more
        forms.append(Distance(*some(), least, most, ""))
    forms = [f for f in forms if not (isinstance(f, Pairs) and set(f.tasks) & set(f.others))]
    places = {(f.task, f.station): f for f in forms if isinstance(f, TimeAt)}
    forms = [f for f in forms if not isinstance(f, TimeAt)] + list(places.values())
    line = BalanceProblem(
        times=times, predecessors=before, successors=turned(before), forms=forms_in(forms)
    )
    return line, last


def loads(
    line: BalanceProblem, at: Sequence[int], station: int
) -> Iterator[tuple[int, int | None]]:
    """Yield what a station holds and may hold, times the limit in millionths where that counts."""
    forms = line.forms
    here = {task for task, k in enumerate(at) if k == station}
    own = {f.task: f.time for f in forms.times if f.station == station}
    work = sum(own.get(task, line.times[task]) for task in here)
    for turn in forms.turns:
        work += turn.time * max(0, sum(bool(here & set(kind)) for kind in turn.kinds) - 1)
    yield work, None
    for target in forms.targets:
        for k, share in target.at:
            if k == station:
                yield -(-work * WHOLE_LIMIT // share), None
    for rate in forms.rates:
        yield sum(rate.amounts[task] for task in here) - rate.lost, None
    for measure in forms.measures:
        room = dict(measure.at[::-1]).get(station, measure.usual)
        if room is not None:
            yield sum(measure.amounts[task] for task in here), room


def is_possible(line: BalanceProblem, most: int, limit: int) -> bool:
    """Return whether any plan of at most so many stations keeps all; tasks come in their order."""
    at: list[int] = []

    def holds(station: int) -> bool:
        return all(
            held <= (limit if room is None else room) for held, room in loads(line, at, station)
        )

    def fits(task: int) -> bool:
        own = at[task]
        if any(f.task == task and not f.stations >> own & 1 for f in line.forms.stations):
            return False
        for pairs in line.forms.pairs:
            (one,), (other,) = pairs.tasks, pairs.others
            if max(one, other) == task and at[one] == at[other]:
                return False
        for form in line.forms.distances:
            if max(form.before, form.after) == task:
                between = at[form.after] - at[form.before]
                if form.least is not None and between < form.least:
                    return False
                if form.most is not None and between > form.most:
                    return False
        return True

    def place(task: int) -> bool:
        if task == TASKS:
            return all(holds(station) for station in range(1, most + 1))
        first = max((at[b] for b in line.predecessors[task]), default=1)
        for station in range(first, most + 1):
            at.append(station)
            # With more tasks a station never holds less, unless a time of its own is shorter.
            if fits(task) and holds(station) and place(task + 1):
                return True
            at.pop()
        return False

    return place(0)


def asked(line: BalanceProblem, **asked: int) -> Outcome:
    """Ask the search itself: what is easy would be answered before it."""
    settings = BalanceSettings(method="exact", **asked)  # type: ignore[arg-type]
    return reach_goal(replace(line, limit=asked.get("limit")), settings, Exact(Options()), Watch())


@pytest.mark.parametrize("seeds", [SEEDS[k::10] for k in range(10)], ids=lambda s: f"from {s[0]}")
def test_the_fewest_stations_agree_with_trying(seeds: range):
    for seed in seeds:
        line, most = made_line(seed)
        found = asked(line, limit=15)
        used = len(found.answer.stations)
        if found.ending == Ending.IMPOSSIBLE:
            assert not is_possible(line, most, 15), seed
        else:
            assert found.ending == Ending.OPTIMAL, seed
            assert is_possible(line, used, 15), seed
            assert not is_possible(line, used - 1, 15), seed


@pytest.mark.parametrize("seeds", [SEEDS[k::10] for k in range(10)], ids=lambda s: f"from {s[0]}")
def test_the_shortest_cycle_agrees_with_trying(seeds: range):
    for seed in seeds:
        line, most = made_line(seed)
        found = asked(line, stations=most)
        if found.ending == Ending.IMPOSSIBLE:
            assert not is_possible(line, most, line.ample_limit), seed
        else:
            cycle = found.answer.lower_bound
            assert found.ending == Ending.OPTIMAL, seed
            assert is_possible(line, most, cycle), seed
            assert not is_possible(line, most, cycle - 1), seed
