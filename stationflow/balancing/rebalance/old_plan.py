"""The plan a line worked by until now, against the tasks of today."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.task_check import shortened
from stationflow.balancing.work import LineWork
from stationflow.model import Finding, error, note


@dataclass(frozen=True, slots=True)
class OldPlan:
    """The stations of an old plan, which are places in the hall, with the tasks of today."""

    numbers: tuple[int, ...]  # of the stations in line order, rising
    held: tuple[tuple[int, ...], ...]  # for each the positions of its tasks that are still there
    gone: tuple[tuple[str, ...], ...]  # for each the numbers of its tasks that are no more
    station_of: tuple[int | None, ...]  # by position its place in `numbers`; None: a new task

    @property
    def added(self) -> tuple[int, ...]:
        """The positions of the tasks that the old plan does not have."""
        return tuple(task for task, at in enumerate(self.station_of) if at is None)


def old_plan(work: LineWork, given: Iterable[GivenStation]) -> OldPlan:
    """Return given stations, told apart by number, as the old plan of a line."""
    rows = sorted(given, key=lambda station: station.number)
    position = {number: at for at, number in enumerate(work.numbers)}
    station_of: list[int | None] = [None] * len(position)
    for at, row in enumerate(rows):
        for number in row.tasks:
            if number in position:
                station_of[position[number]] = at
    return OldPlan(
        numbers=tuple(row.number for row in rows),
        held=tuple(tuple(position[n] for n in row.tasks if n in position) for row in rows),
        gone=tuple(tuple(n for n in row.tasks if n not in position) for row in rows),
        station_of=tuple(station_of),
    )


def old_plan_findings(work: LineWork, given: Sequence[GivenStation]) -> tuple[Finding, ...]:
    """Return what is wrong with an old plan, and which tasks came and went since."""
    where = f"Old plan of line {work.line}"
    listed = Counter(number for row in given for number in row.tasks)
    if twice := [number for number, times in listed.items() if times > 1]:
        said = f"It has task {shortened(twice)} more than once."
        return (error("plan-file-broken", where, said, "Let each task stand at one station."),)
    added = [number for number in work.numbers if number not in listed]
    gone = [number for number in listed if number not in set(work.numbers)]
    if len(added) == len(work.numbers):
        said = f"It has none of the tasks of line {work.line}."
        return (error("plan-file-broken", where, said, "Give the plan this line works by."),)
    findings = []
    if added:
        said = f"New since the old plan: task {shortened(added)}. Where it goes is no move."
        findings.append(note("tasks-added", where, said))
    if gone:
        said = f"Gone since the old plan: task {shortened(gone)}."
        findings.append(note("tasks-gone", where, said))
    return tuple(findings)
