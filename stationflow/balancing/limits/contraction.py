"""Groups at one station made into single tasks, with everything that lies between.

A method then has nothing to know of groups. Two tasks of a group take along all that must
be done after the one and before the other, and groups that wait for each other are one.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stationflow.balancing.arrows import knots, topological_order, turned
from stationflow.balancing.limits.forms import forms_in

if TYPE_CHECKING:
    from stationflow.balancing.problem import BalanceProblem


@dataclass(frozen=True, slots=True)
class Contraction:
    """A problem without groups, and the tasks of the whole line that each of its tasks is."""

    whole: BalanceProblem  # the problem with its groups
    problem: BalanceProblem  # the problem for the methods
    # positions of `whole` by position of `problem`, in an order they can be done in
    members: tuple[tuple[int, ...], ...]

    def expanded(self, stations: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
        """Return a plan of the problem as one of the whole line."""
        return tuple(
            tuple(member for task in station for member in self.members[task])
            for station in stations
        )


def contracted(whole: BalanceProblem) -> Contraction:
    """Return a problem with its groups made into single tasks."""
    if not whole.forms.groups:
        return Contraction(whole, whole, tuple((task,) for task in range(whole.size)))
    label = _labels(whole)
    order = topological_order(whole.predecessors)
    kept = sorted(set(label))
    place = {old: new for new, old in enumerate(kept)}
    at = [place[old] for old in label]
    members = tuple(tuple(task for task in order if at[task] == new) for new in range(len(kept)))
    predecessors = tuple(
        tuple(
            dict.fromkeys(at[b] for task in row for b in whole.predecessors[task] if at[b] != new)
        )
        for new, row in enumerate(members)
    )
    forms = [replace(form, task=at[form.task]) for form in whole.forms.stations]
    pairs = [
        replace(
            form,
            tasks=tuple(dict.fromkeys(at[task] for task in form.tasks)),
            others=tuple(dict.fromkeys(at[task] for task in form.others)),
        )
        for form in whole.forms.pairs
    ]
    problem = replace(
        whole,
        times=tuple(sum(whole.times[task] for task in row) for row in members),
        predecessors=predecessors,
        successors=turned(predecessors),
        forms=forms_in((*forms, *pairs)),
    )
    return Contraction(whole, problem, members)


def _labels(whole: BalanceProblem) -> list[int]:
    """Return for each task a label that tasks which must share a station have in common."""
    label = list(range(whole.size))

    def merge(labels: Collection[int]) -> None:
        joined = set(labels)
        first = min(joined)
        label[:] = [first if old in joined else old for old in label]

    for group in whole.forms.groups:
        merge([label[task] for task in group.tasks])
    rows: list[set[int]] = [set() for _ in label]
    for task, before in enumerate(whole.predecessors):
        rows[label[task]].update(label[other] for other in before)
    for knot in knots([tuple(row - {own}) for own, row in enumerate(rows)]):
        merge(knot)  # what lies between waits both ways
    return label
