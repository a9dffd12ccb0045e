"""The revised NIOSH lifting equation: how much may be lifted with both hands, and how often.

The recommended weight limit is what nearly all healthy workers can lift for so long without
a higher risk for the low back; the lifting index is the mass by that limit. It is an aid to
planning, not a medical judgement, and local law goes before it.

References
----------
Waters, T. R., Putz-Anderson, V. and Garg, A. (1994, revised 2021). Applications Manual for the
Revised NIOSH Lifting Equation. DHHS (NIOSH) Publication No. 94-110.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stationflow.model import Coupling, LiftDuration
from stationflow.pace.figures import fraction

Number = float | int | Fraction

MOST_A_MINUTE = 15
LEAST_A_MINUTE = Fraction(1, 5)
SAMPLE_MIN = 15
"""Lifts are counted over so many minutes (section 1.3.5 of the manual)."""
MOST_MIN = {LiftDuration.SHORT: 60, LiftDuration.MODERATE: 120, LiftDuration.LONG: 480}
REST = {LiftDuration.SHORT: Fraction(1), LiftDuration.MODERATE: Fraction(3, 10)}
"""A rest of so many times a session's minutes ends it; in 1994 it was 1.2 times a short one."""

FREQUENCIES = tuple(map(fraction, (0.2, 0.5, *range(1, 16))))
MULTIPLIERS = {
    LiftDuration.SHORT: "100 97 94 91 88 84 80 75 70 60 52 45 41 37 34 31 28",
    LiftDuration.MODERATE: "95 92 88 84 79 72 60 50 42 35 30 26 23 21 0 0 0",
    LiftDuration.LONG: "85 81 75 65 55 45 35 27 22 18 15 13 0 0 0 0 0",
}
"""Hundredths by lifts a minute (table 5 of the manual) for hands at 75 cm or above."""
MOST_BELOW = {LiftDuration.SHORT: 12, LiftDuration.MODERATE: 10, LiftDuration.LONG: 8}
"""Below 75 cm the same up to so many lifts a minute, and 0 from one more on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """The constants of the equation in one of the two systems in which it is published."""

    load: int  # the load constant
    reach: int  # the least reach that counts
    most_reach: int
    knuckle: int  # the best height
    by_height: Fraction  # what each unit of height above or below it takes off
    most_height: int
    by_travel: Fraction
    travel: int  # the least travel that counts
    most_travel: int


METRIC = Measures(  # kg and cm
    load=23, reach=25, most_reach=63, knuckle=75, by_height=Fraction(3, 1000), most_height=175,
    by_travel=Fraction(9, 2), travel=25, most_travel=175,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Where the hands are when a lift begins, or ends."""

    reach: Number
    height: Number
    turn_deg: Number = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Often:
    """How often, for how long, and how well held something is lifted."""

    a_minute: Number
    duration: LiftDuration = LiftDuration.LONG
    coupling: Coupling = Coupling.FAIR


def multipliers(
    at: Hands, start: Hands, end: Hands, often: Often, measures: Measures = METRIC
) -> dict[str, Fraction]:
    """Return what the load constant is multiplied with, by name.

    Parameters
    ----------
    at
        The start or the end of the lift.
    start, end
        Both of them: what is lifted high, or far, tells at either.
    often
        How often, for how long, and how well held.
    measures
        Centimetres and kilograms, or inches and pounds.

    Notes
    -----
    The height at the start decides on the multiplier of the frequency at both ends, the height
    there on that of the coupling. Multipliers keep all digits; worksheets round them to two.
    """
    reach, height, turn = map(fraction, (at.reach, at.height, at.turn_deg))
    travel = abs(fraction(start.height) - fraction(end.height))
    shortest, least = Fraction(measures.reach), Fraction(measures.travel)
    is_low = height < measures.knuckle
    away = abs(height - measures.knuckle)
    spent = Fraction(82, 100) + measures.by_travel / max(travel, least)
    return {
        "reach": shortest / max(reach, shortest) * (reach <= measures.most_reach),
        "height": (1 - measures.by_height * away) * (height <= measures.most_height),
        "travel": spent * (travel <= measures.most_travel),
        "turn": (1 - Fraction(32, 10_000) * turn) * (turn <= 135),
        "frequency": frequency_multiplier(
            often.a_minute, often.duration, is_low=fraction(start.height) < measures.knuckle
        ),
        "coupling": coupling_multiplier(often.coupling, is_low=is_low),
    }


def weight_limit(factors: dict[str, Fraction], measures: Measures = METRIC) -> Fraction:
    """Return the recommended weight limit: the load constant with all multipliers."""
    limit = Fraction(measures.load)
    for factor in factors.values():
        limit *= factor
    return limit


def lifting_index(load: Number, limit: Fraction) -> Fraction | None:
    """Return the load by its recommended weight limit; None: nothing may be lifted so."""
    return fraction(load) / limit if limit else None


def frequency_multiplier(a_minute: Number, duration: LiftDuration, *, is_low: bool) -> Fraction:
    """Return the multiplier of the frequency; between two rows of the table as far as it lies.

    `is_low`: whether the hands begin below 75 cm (30 inches).
    """
    rate = max(fraction(a_minute), LEAST_A_MINUTE)
    if rate > MOST_A_MINUTE:
        return Fraction(0)
    row = [Fraction(int(each), 100) for each in MULTIPLIERS[duration].split()]
    if is_low:
        most = MOST_BELOW[duration]
        row = [m if f <= most else Fraction(0) for f, m in zip(FREQUENCIES, row, strict=True)]
    at = next(i for i, f in enumerate(FREQUENCIES) if rate <= f)
    if rate == FREQUENCIES[at]:
        return row[at]
    below, above = FREQUENCIES[at - 1], FREQUENCIES[at]
    return row[at - 1] + (row[at] - row[at - 1]) * (rate - below) / (above - below)


def coupling_multiplier(coupling: Coupling, *, is_low: bool) -> Fraction:
    """Return the multiplier of how well hands hold a load (table 7 of the manual)."""
    if coupling == Coupling.FAIR:
        return Fraction(95, 100) if is_low else Fraction(1)
    return Fraction(1) if coupling == Coupling.GOOD else Fraction(9, 10)


def counted_minutes(lifts: int, work_min: Number, cycle_min: Number) -> Fraction | None:
    """Return the minutes over which the lifts in one unit are counted at a station.

    `work_min`: how long the task with the lifts takes; `cycle_min`: the time from unit to unit.
    Beyond 15 minutes from unit to unit it is an intermittent job. None: faster than 15 a minute
    while it lasts, for which the equation was not made.
    """
    work, cycle = fraction(work_min), fraction(cycle_min)
    if cycle <= SAMPLE_MIN:
        return cycle
    if lifts > 1 and lifts > MOST_A_MINUTE * work:
        return None
    # Lifts over these minutes are the lifts a minute while somebody lifts x work / 15 minutes.
    return max(work, Fraction(SAMPLE_MIN))


def duration_class(sessions: Sequence[tuple[Number, Number]]) -> LiftDuration | None:
    """Return how long somebody lifts, by the class of the table; None: more than 8 h.

    `sessions`: minutes of lifting, each with the minutes after it without lifting. Where a rest is
    too short its session goes on with the next.
    """
    longest = lifted = Fraction(0)
    for minutes, rest in sessions:
        lifted += fraction(minutes)
        longest = max(longest, lifted)
        of_this = next((each for each in REST if lifted <= MOST_MIN[each]), None)
        if of_this and rest >= REST[of_this] * lifted:
            lifted = Fraction(0)
    return next((each for each, most in MOST_MIN.items() if longest <= most), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifting:
    """One of the lifting tasks of a job."""

    load: Number
    at_any_rate: Fraction  # the weight limit without its multiplier of frequency
    a_minute: Number
    duration: LiftDuration = LiftDuration.LONG
    is_low: bool = False  # whether the hands begin below 75 cm


def composite_index(tasks: Sequence[Lifting]) -> Fraction | None:
    """Return the composite lifting index of a job of several lifting tasks (section 2.4.5).

    The task with the largest index of its own comes first; each further one adds what it would
    have at any rate, by as much as its lifts lower the multiplier of the frequency. None: a
    multiplier is 0, nothing may be lifted so.
    """

    def factor(task: Lifting, a_minute: Number) -> Fraction:
        return frequency_multiplier(a_minute, task.duration, is_low=task.is_low)

    if not all(task.at_any_rate * factor(task, task.a_minute) for task in tasks):
        return None
    alone = {
        id(task): fraction(task.load) / (task.at_any_rate * factor(task, task.a_minute))
        for task in tasks
    }
    total = rate = Fraction(0)
    for task in sorted(tasks, key=lambda task: alone[id(task)], reverse=True):
        before, rate = rate, rate + fraction(task.a_minute)
        with_it = factor(task, rate)
        if not with_it:
            return None
        added = 1 / with_it - (1 / factor(task, before) if before else 0)
        total += fraction(task.load) / task.at_any_rate * added
    return total
