"""The smallest set of limits that cannot all hold: taking any of them away leaves no clash.

References
----------
.. [1] Junker, U. (2004). "QUICKXPLAIN: preferred explanations and relaxations for
   over-constrained problems". Proceedings of AAAI-04, 167-172.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from stationflow.balancing.impossible.line_question import (
    Asking,
    LineQuestion,
    with_arrows,
    without_forms,
)
from stationflow.balancing.limits.forms import AnyForm, TimeAt
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.time_words import count


class Part(IntEnum):
    """What a member of a clash is; those that are named rather come first."""

    LIMIT = 0  # entered for tasks or stations
    STATIONS = 1  # how many are allowed
    TIME = 2  # the limit of a station
    ARROW = 3  # the order of two tasks


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One thing that can be taken away from what is asked."""

    part: Part
    said: str
    form: AnyForm | None = None  # of `Part.LIMIT`
    arrow: tuple[int, int] = (0, 0)  # of `Part.ARROW`: positions


def members_of(question: LineQuestion, problem: BalanceProblem) -> list[Member]:
    """Return all that can be taken away from a question, what is rather named first."""
    work, forms = question.work, problem.forms
    found = [
        Member(part=Part.LIMIT, said=form.said, form=form)
        for form in forms
        if not isinstance(form, TimeAt)  # it may also shorten a time
    ]
    if question.stations is not None:
        said = f"at most {count(question.stations, 'station')}"
        found.append(Member(part=Part.STATIONS, said=said))
    # Where shares of the limit or times at its pace are asked for, it is what they count by.
    if question.limit is not None and not (forms.targets or forms.lags):
        said = f"the limit of {work.words.show(question.limit)}"
        found.append(Member(part=Part.TIME, said=said))
    for after, row in enumerate(problem.predecessors):
        for before in row:
            said = f"task {work.numbers[before]} comes before task {work.numbers[after]}"
            found.append(Member(part=Part.ARROW, said=said, arrow=(before, after)))
    return found


def smallest_clash(question: LineQuestion, asking: Asking) -> tuple[Member, ...]:
    """Return members that cannot all hold, none of them too many; empty: none was proven.

    Without any of them the others can be kept. There may be other such sets, also smaller ones.
    Out of time it is the smallest set found by then, of which some may be too many.
    """
    problem = question.problem()
    everything = members_of(question, problem)

    smallest = everything

    def clash(kept: Sequence[Member]) -> bool:
        nonlocal smallest
        if asking.is_over():
            return False
        is_one = asking.can(*_asked_of(question, problem, everything, kept)) is False
        if is_one and len(kept) < len(smallest):
            smallest = list(kept)
        return is_one

    if not clash(everything):
        return ()

    def needed(ground: list[Member], is_new: bool, choice: Sequence[Member]) -> list[Member]:
        """Return the members of `choice` that clash with `ground`, none too many."""
        if is_new and clash(ground):
            return []
        if len(choice) < 2 or asking.is_over():
            return list(choice)
        half = len(choice) // 2
        first, then = list(choice[:half]), list(choice[half:])
        behind = needed(ground + first, True, then)
        before = needed(ground + behind, bool(behind), first)
        return before + behind

    found = needed([], False, everything)
    # Where an answer was not known it counted as possible: too much may be left, or too little.
    return tuple(sorted(found if clash(found) else smallest, key=lambda m: m.part))


def _asked_of(
    question: LineQuestion,
    problem: BalanceProblem,
    everything: Sequence[Member],
    kept: Sequence[Member],
) -> tuple[BalanceProblem, int | None]:
    """Return what is asked when only some members are kept."""
    there = set(kept)
    gone = [member for member in everything if member not in there]
    forms = {member.form for member in gone if member.part == Part.LIMIT}
    parts = {member.part for member in gone}
    arrows = [member.arrow for member in kept if member.part == Part.ARROW]
    left = with_arrows(without_forms(problem, forms), arrows)
    if Part.TIME in parts:
        left = replace(left, limit=None)
    return left, None if Part.STATIONS in parts else question.stations
