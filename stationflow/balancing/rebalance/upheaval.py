"""What a new plan turns over, and which of its stations is which of the old ones.

All of it is a sum over the stations that are the same place in the hall, so the best of all
ways to tell the new stations from the old ones, in line order, is found by dynamic programming.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.balancing.rebalance.old_plan import OldPlan
from stationflow.balancing.work import LineWork
from stationflow.model import Product, Upheaval

Stations = Sequence[Sequence[int]]
"""The positions at each station of a new plan."""

Was = tuple[int | None, ...]
"""For each new station its place among the old ones; None: it is new. Rising."""


@dataclass(frozen=True, slots=True)
class Belongings:
    """What tasks bring along to their stations, by position."""

    tools: tuple[frozenset[str], ...]  # tools and equipment
    skills: tuple[frozenset[str], ...]


def belongings(work: LineWork, product: Product | None) -> Belongings:
    """Return what the tasks of a line need; a published instance (None) says nothing of it."""
    known = {task.number: task for task in product.tasks_of(work.line)} if product else {}
    tasks = [known.get(number) for number in work.numbers]
    return Belongings(
        tuple(
            frozenset((*(use.tool for use in t.tools), *t.limits.equipment) if t else ())
            for t in tasks
        ),
        tuple(frozenset([t.limits.skill] if t and t.limits.skill else ()) for t in tasks),
    )


@dataclass(frozen=True, slots=True)
class Turnover:
    """Counts what a plan turns over, and weighs it."""

    old: OldPlan
    having: Belongings
    weights: Upheaval

    def was(self, stations: Stations) -> Was:
        """Return which old station each new one is, so that least is turned over.

        Where that leaves a choice, as many as can be are old ones.
        """
        many, few = len(stations), len(self.old.numbers)
        # best[k][j]: most that is saved, and stations kept, on the first k new and j old ones
        best = [[(0, 0)] * (few + 1) for _ in range(many + 1)]
        for k, tasks in enumerate(stations, 1):
            saved = self._saved(tasks)
            for j in range(1, few + 1):
                worth, kept = best[k - 1][j - 1]
                same = (worth + saved[j - 1], kept + 1)
                best[k][j] = max(same, best[k - 1][j], best[k][j - 1])
        was: list[int | None] = [None] * many
        k, j = many, few
        while k and j:
            if best[k][j] == best[k][j - 1]:
                j -= 1
            elif best[k][j] == best[k - 1][j]:
                k -= 1
            else:
                k, j = k - 1, j - 1
                was[k] = j
        return tuple(was)

    def _saved(self, tasks: Sequence[int]) -> list[int]:
        """Return what is saved, by weight, if a new station is the first, second ... old one."""
        weights, old, here = self.weights, self.old, set(tasks)
        saved = [0] * len(old.numbers)
        for task in tasks:
            at = old.station_of[task]
            if at is not None:
                saved[at] += weights.moves
        if weights.tools or weights.skills or weights.cards:
            tools, skills = held(self.having.tools, tasks), held(self.having.skills, tasks)
            for at, before in enumerate(old.held):
                saved[at] += weights.tools * 2 * len(tools & held(self.having.tools, before))
                saved[at] += weights.skills * len(skills & held(self.having.skills, before))
                saved[at] += weights.cards * (here == set(before) and not old.gone[at])
        return saved

    def counted(self, stations: Stations, was: Was) -> Upheaval:
        """Return what a plan turns over."""
        old = self.old
        moves = tools = skills = cards = 0
        for tasks, at in zip(stations, was, strict=True):
            before = () if at is None else old.held[at]
            moves += sum(old.station_of[task] not in (None, at) for task in tasks)
            tools += len(held(self.having.tools, tasks) ^ held(self.having.tools, before))
            skills += len(held(self.having.skills, tasks) - held(self.having.skills, before))
            is_same = at is not None and set(tasks) == set(before) and not old.gone[at]
            cards += bool(tasks) and not is_same
        closed = (before for at, before in enumerate(old.held) if at not in was)
        tools += sum(len(held(self.having.tools, before)) for before in closed)
        return Upheaval(moves=moves, tools=tools, skills=skills, cards=cards)


def held(each: Sequence[frozenset[str]], tasks: Sequence[int]) -> frozenset[str]:
    """Return what some tasks need together."""
    return frozenset[str]().union(*(each[task] for task in tasks))
