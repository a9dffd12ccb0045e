"""How one plan differs from another, in words: what was asked, and who holds what."""

from collections.abc import Sequence

from stationflow.balancing.compare.comparison import TimeWords
from stationflow.balancing.compare.station_pairs import TaskMove
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Plan, Station

MOST_TASKS = 8
"""So many task numbers of a station are said; the table of moves has all."""


def settings_differences(base: Plan, other: Plan, time_words: TimeWords) -> tuple[str, ...]:
    """Return what was asked differently: "method COMSOAL instead of Exact".

    The limit is the one that was used, whether typed or set by demand.
    """
    results, asked = (base.result, other.result), (base.asked, other.asked)
    said = [
        *_changed("method", *(_method(r.method) for r in results)),
        *_changed("goal", *(r.goal.value.replace("-", " ") for r in results)),
        *_changed("limit", *("none" if r.limit is None else time_words(r.limit) for r in results)),
        *_changed("stations asked", *(_stations_asked(a) for a in asked)),
    ]
    efforts = [result.effort for result in results]
    if efforts[0].direction and efforts[1].direction:  # a method without says nothing of it
        said += _changed("direction", efforts[0].direction, efforts[1].direction)
    if asked[0].seconds and asked[1].seconds:
        said += _changed("time limit", *(f"{a.seconds:g} s" for a in asked))
    if efforts[0].trials and efforts[1].trials:
        said += _changed("trials", *(str(effort.trials) for effort in efforts))
    if asked[0].seed is not None and asked[1].seed is not None:
        said += _changed("seed", *(str(a.seed) for a in asked))
    if asked[0].memory_mb and asked[1].memory_mb:
        said += _changed("memory", *(f"{a.memory_mb} MiB" for a in asked))
    if asked[0].nodes or asked[1].nodes:
        said += _changed("limit of partial plans", *(str(a.nodes or "none") for a in asked))
    return tuple(said)


def _changed(name: str, was: str, is_now: str) -> list[str]:
    """Say that a setting differs."""
    return [] if was == is_now else [f"{name} {is_now} instead of {was}"]


def station_differences(
    base: Plan,
    other: Plan,
    pairs: Sequence[tuple[int, int]],
    moves: Sequence[TaskMove],
    base_label: str,
) -> tuple[str, ...]:
    """Return, station by station in the order of `other`, what it holds instead.

    Parameters
    ----------
    base, other
        The plans.
    pairs, moves
        From `station_pairs`.
    base_label
        What the base plan is called.
    """
    was = {station.number: station for station in base.result.stations}
    is_now = {station.number: station for station in other.result.stations}
    partner = {after: before for before, after in pairs}
    said = [_how_many(base, moves)]
    said += _shifted(pairs, base_label)
    for number, station in is_now.items():
        before = partner.get(number)
        if before is None:
            said.append(f"Station {number} is new: it holds {_tasks(station)}.")
        elif set(was[before].tasks) != set(station.tasks):
            own = "" if before == number else f" (station {before} of {base_label})"
            said.append(
                f"Station {number}{own} holds {_tasks(station)} instead of {_tasks(was[before])}."
            )
    gone = sorted(set(was) - {before for before, _ in pairs})
    said += [
        f"Station {n} of {base_label} has no partner: its tasks {_tasks(was[n])} sit elsewhere."
        for n in gone
    ]
    return tuple(said)


def _how_many(base: Plan, moves: Sequence[TaskMove]) -> str:
    """Say how many tasks sit elsewhere."""
    if not moves:
        return "Every task sits at the same station."
    total = sum(len(station.tasks) for station in base.result.stations)
    known = sum(move.base is not None and move.other is not None for move in moves)
    said = f"{known} of {total} tasks {'sits' if known == 1 else 'sit'} elsewhere"
    gone = [move.task for move in moves if move.other is None]
    new = [move.task for move in moves if move.base is None]
    if gone:
        said += f"; not in this plan: {_numbers(gone)}"
    if new:
        said += f"; only in this plan: {_numbers(new)}"
    return f"{said}."


def _shifted(pairs: Sequence[tuple[int, int]], base_label: str) -> list[str]:
    """Say which stations have another number and are the same place: in runs."""
    runs: list[list[tuple[int, int]]] = []
    for before, after in sorted(pairs, key=lambda pair: pair[1]):
        last = runs[-1][-1] if runs else None
        if before == after:
            continue
        if last and (before, after) == (last[0] + 1, last[1] + 1):
            runs[-1].append((before, after))
        else:
            runs.append([(before, after)])
    return [
        f"Stations {run[0][1]} to {run[-1][1]} are stations {run[0][0]} to {run[-1][0]} "
        f"of {base_label}."
        for run in runs
        if len(run) > 1
    ] + [
        f"Station {run[0][1]} is station {run[0][0]} of {base_label}."
        for run in runs
        if len(run) == 1
    ]


def _tasks(station: Station) -> str:
    """Return the tasks of a station in words."""
    return _numbers(station.tasks)


def _numbers(tasks: Sequence[str]) -> str:
    """Return task numbers in words: "40, 50 and 60".

    >>> _numbers(["40", "50", "60"])
    '40, 50 and 60'
    """
    if not tasks:
        return "nothing"
    if len(tasks) > MOST_TASKS:
        return f"{', '.join(tasks[: MOST_TASKS - 1])} and {len(tasks) - MOST_TASKS + 1} more"
    return f"{', '.join(tasks[:-1])} and {tasks[-1]}" if len(tasks) > 1 else tasks[0]


def _method(name: str) -> str:
    """Return the title of a method."""
    return METHODS[name].title if name in METHODS else name


def _stations_asked(asked: BalanceSettings) -> str:
    """Return the number of stations that was asked for."""
    if asked.stations is None:
        return "as few as possible"
    if asked.stations_from is None:
        return str(asked.stations)
    return f"{asked.stations_from} to {asked.stations}"
