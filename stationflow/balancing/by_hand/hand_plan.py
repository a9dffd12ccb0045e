"""A plan as it is moved by hand: stations, pins, and what each step makes of them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.work import LineWork
from stationflow.model import HandAct, HandMove, HandStep, Pins, Station


@dataclass(frozen=True, slots=True, kw_only=True)
class HandPlan:
    """Stations in line order, numbered from 1, with what is to stay where it is."""

    stations: tuple[GivenStation, ...]
    loose: tuple[str, ...] = ()  # tasks of the line that are at no station yet
    pinned: frozenset[str] = frozenset()  # tasks that stay at their station
    locked: frozenset[int] = frozenset()  # stations that stay as they are

    @property
    def station_of(self) -> dict[str, int]:
        """The station of each task that is at one."""
        return {task: station.number for station in self.stations for task in station.tasks}

    def at(self, station: int) -> tuple[str, ...]:
        """Return the tasks at a station, in the order they are done."""
        return self.stations[station - 1].tasks

    @property
    def pins(self) -> Pins:
        """What a method must leave as it is."""
        tasks = sorted(
            (station, place, task)
            for task, station in self.station_of.items()
            for place in (self.at(station).index(task),)
            if task in self.pinned or station in self.locked
        )
        return Pins(
            tasks=tuple((task, station) for station, _, task in tasks),
            stations=tuple(sorted(self.locked)),
        )


def hand_plan(work: LineWork, stations: Iterable[Station], pins: Pins) -> HandPlan:
    """Return a plan ready to be moved: without the tasks that are gone from the line."""
    known = set(work.numbers)
    begun = 1 / work.ticks
    held = tuple(
        GivenStation(
            number=number,
            tasks=tuple(task for task in station.tasks if task in known),
            place=station.place,
            side=station.side,
            copies=station.copies,
            operators=tuple(
                tuple((task, start * begun) for task, start in operator.tasks if task in known)
                for operator in station.operators
            ),
        )
        for number, station in enumerate(stations, 1)
    )
    placed = {task for station in held for task in station.tasks}
    locked = frozenset(pins.stations)
    return HandPlan(
        stations=held,
        loose=tuple(number for number in work.numbers if number not in placed),
        pinned=frozenset(task for task, at in pins.tasks if task in placed and at not in locked),
        locked=frozenset(at for at in locked if at <= len(held)),
    )


def with_steps(plan: HandPlan, steps: Iterable[HandStep]) -> HandPlan:
    """Return what steps make of a plan, one after the other."""
    for step in steps:
        plan = with_step(plan, step)
    return plan


def with_step(plan: HandPlan, step: HandStep) -> HandPlan:
    """Return what a step makes of a plan; what names a task or station that is gone does nothing.

    Whether it may be done is another question (`HandBoard.refused`).
    """
    if step.act == HandAct.PIN:
        return replace(plan, pinned=plan.pinned ^ {step.task})
    if step.act == HandAct.LOCK:
        return replace(plan, locked=plan.locked ^ {step.station})
    if step.act == HandAct.INSERT or step.is_new:
        plan = _inserted(plan, step.station)
    for move in step.moves:
        plan = _moved(plan, move)
    return _removed(plan, step.station) if step.act == HandAct.REMOVE else plan


def _moved(plan: HandPlan, move: HandMove) -> HandPlan:
    task, at = move.task, plan.station_of.get(move.task)
    if not 1 <= move.station <= len(plan.stations) or (at is None and task not in plan.loose):
        return plan
    stations = list(plan.stations)
    if at is not None:
        old = stations[at - 1]
        rest = tuple(other for other in old.tasks if other != task)
        stations[at - 1] = replace(old, tasks=rest, operators=())
    new = stations[move.station - 1]
    tasks = (*new.tasks[: move.place], task, *new.tasks[move.place :])
    stations[move.station - 1] = replace(new, tasks=tasks, operators=())
    loose = tuple(other for other in plan.loose if other != task)
    return replace(plan, stations=tuple(stations), loose=loose)


def _inserted(plan: HandPlan, number: int) -> HandPlan:
    """Return a plan with an empty station that has this number; those after it move on by one."""
    at = max(0, min(number - 1, len(plan.stations)))
    new = GivenStation(at + 1, ())
    stations = (*plan.stations[:at], new, *plan.stations[at:])
    return _numbered(plan, stations, {n: n + (n > at) for n in plan.locked})


def _removed(plan: HandPlan, number: int) -> HandPlan:
    """Return a plan without a station that is empty; those after it come nearer by one."""
    if not 1 <= number <= len(plan.stations) or plan.at(number):
        return plan
    stations = (*plan.stations[: number - 1], *plan.stations[number:])
    kept = {n: n - (n > number) for n in plan.locked if n != number}
    return _numbered(plan, stations, kept)


def _numbered(plan: HandPlan, stations: Iterable[GivenStation], locked: dict[int, int]) -> HandPlan:
    numbered = tuple(replace(station, number=n) for n, station in enumerate(stations, 1))
    return replace(plan, stations=numbered, locked=frozenset(locked.values()))
