"""How one plan differs from another, in words: what was asked, and who holds what."""

from collections.abc import Callable, Sequence

from stationflow.balancing.compare.comparison import SAID, TimeWords
from stationflow.balancing.compare.station_pairs import TaskMove
from stationflow.model import BalanceSettings, Plan
from stationflow.model.changes.change_words import became

MOST_TASKS = 8
"""So many task numbers of a station are said; the table of moves has all."""


def _stations_asked(asked: BalanceSettings) -> str:
    """Return the number of stations that was asked for."""
    if asked.stations is None:
        return "as few as possible"
    if asked.stations_from is None:
        return str(asked.stations)
    return f"{asked.stations_from} to {asked.stations}"


SETTINGS: dict[str, Callable[[Plan, TimeWords], str | None]] = {
    "method": lambda p, _: SAID["method"](p.result),
    "goal": lambda p, _: SAID["goal"](p.result),
    "limit": lambda p, w: "none" if p.result.limit is None else w(p.result.limit),
    "stations asked": lambda p, _: _stations_asked(p.asked),
    "direction": lambda p, _: p.result.effort.direction,
    "time limit": lambda p, _: f"{p.asked.seconds:g} s" if p.asked.seconds else None,
    "trials": lambda p, _: str(p.result.effort.trials) if p.result.effort.trials else None,
    "seed": lambda p, _: None if p.asked.seed is None else str(p.asked.seed),
    "memory": lambda p, _: f"{p.asked.memory_mb} MiB" if p.asked.memory_mb else None,
    "limit of partial plans": lambda p, _: str(p.asked.nodes or "none"),
}
"""What can be asked for, and how it is said; None: not told against another plan."""


def settings_differences(base: Plan, other: Plan, time_words: TimeWords) -> tuple[str, ...]:
    """Return what was asked differently: "Method: Exact → COMSOAL.".

    The limit is the one that was used, whether typed or set by demand.
    """
    said = []
    for name, words in SETTINGS.items():
        was, is_now = (words(plan, time_words) for plan in (base, other))
        # a method without says nothing of it
        if was is not None and is_now is not None and was != is_now:
            said.append(f"{became(name.capitalize(), was, is_now)}.")
    return tuple(said)


def station_differences(
    base: Plan,
    other: Plan,
    pairs: Sequence[tuple[int, int]],
    moves: Sequence[TaskMove],
    base_label: str,
) -> tuple[str, ...]:
    """Return, station by station in the order of `other`, what it holds instead."""
    was = {station.number: station.tasks for station in base.result.stations}
    partner = {after: before for before, after in pairs}
    said = [_how_many(base, moves), *_shifted(pairs, base_label)]
    for station in other.result.stations:
        number, held = station.number, _numbers(station.tasks)
        before = partner.get(number)
        if before is None:
            said.append(f"Station {number} is new: it holds {held}.")
        elif set(was[before]) != set(station.tasks):
            own = "" if before == number else f" (station {before} of {base_label})"
            said.append(f"Station {number}{own} holds {held} instead of {_numbers(was[before])}.")
    said += [
        f"Station {n} of {base_label} has no partner: its tasks {_numbers(was[n])} sit elsewhere."
        for n in sorted(was.keys() - partner.values())
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
    runs.sort(key=lambda run: len(run) == 1)  # single ones last
    return [
        f"Stations {run[0][1]} to {run[-1][1]} are stations {run[0][0]} to {run[-1][0]} "
        f"of {base_label}."
        if len(run) > 1
        else f"Station {run[0][1]} is station {run[0][0]} of {base_label}."
        for run in runs
    ]


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
