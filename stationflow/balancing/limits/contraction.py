"""Groups at one station made into single tasks, with everything that lies between.

A method then has nothing to know of groups. Two tasks of a group take along all that must
be done after the one and before the other, and groups that wait for each other are one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stationflow.balancing.arrows import knots, topological_order, turned
from stationflow.balancing.limits.forms import AnyForm, Group, Lag, TimeAt, forms_in

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


def as_it_is(whole: BalanceProblem) -> Contraction:
    """Return a problem in which each task is one of the whole line."""
    return Contraction(whole, whole, tuple((task,) for task in range(whole.size)))


def contracted(whole: BalanceProblem) -> Contraction:
    """Return a problem with its groups made into single tasks."""
    if not whole.forms.groups:
        return as_it_is(whole)
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
    problem = replace(
        whole,
        times=tuple(sum(whole.times[task] for task in row) for row in members),
        predecessors=predecessors,
        successors=turned(predecessors),
        forms=forms_in(_grouped(whole, members, at)),
    )
    return Contraction(whole, problem, members)


def _grouped(
    whole: BalanceProblem, members: Sequence[Sequence[int]], at: Sequence[int]
) -> Iterator[AnyForm]:
    """Yield the forms of the problem without groups."""
    for form in whole.forms:
        if isinstance(form, Lag):
            yield _lag(whole, members, at, form)
        elif not isinstance(form, Group | TimeAt):
            yield form.grouped(at)
    own = {(form.task, form.station): form for form in whole.forms.times}
    for group, station in dict.fromkeys((at[task], station) for task, station in own):
        forms = [own[task, station] for task in members[group] if (task, station) in own]
        rest = sum(whole.times[task] for task in members[group] if (task, station) not in own)
        time = rest + sum(form.time for form in forms)
        yield TimeAt(group, station, time, "; ".join(form.said for form in forms))


def _lag(
    whole: BalanceProblem, members: Sequence[Sequence[int]], at: Sequence[int], form: Lag
) -> Lag:
    """Return a time between tasks of which some are in groups: between the groups less is left.

    Where times differ by station, the one that leaves least freedom counts.
    """
    behind, ahead = members[at[form.before]], members[at[form.after]]
    end, begin = behind.index(form.before) + 1, ahead.index(form.after)
    if behind is not ahead:
        inside, outside = [*behind[end:], *ahead[:begin]], list[int]()
    else:  # both in one group: nothing is left between, or what comes first is taken away
        inside, outside = list(behind[end:begin]), list(behind[begin:end])
    times = {
        task: [whole.times[task], *(f.time for f in whole.forms.times if f.task == task)]
        for task in (*inside, *outside)
    }
    low = sum(min(times[t]) for t in inside) - sum(max(times[t]) for t in outside)
    high = sum(max(times[t]) for t in inside) - sum(min(times[t]) for t in outside)
    return replace(
        form.grouped(at),
        least=None if form.least is None else form.least - low,
        most=None if form.most is None else form.most - high,
    )


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
