"""Working time of a calendar, and what is wrong with the calendar."""

from collections.abc import Iterator
from fractions import Fraction

from stationflow.model import Calendar, Demand, Finding, Period, Shift, Weekday, error, warning
from stationflow.model.demand import DAY_MINUTES, clock_minutes
from stationflow.pace.figures import LARGEST, figure, fraction, is_number

HOUR_S = 3600
WEEK_MINUTES = 7 * DAY_MINUTES
STOP_WORDS = ("stop", "breakdown", "failure")


def working_days(calendar: Calendar) -> int:
    """Return the number of working days in a week; a day named twice counts once."""
    return len(set(calendar.days))


def exact_time_per_day(calendar: Calendar) -> Fraction:
    """Return the working time of one working day in seconds, exactly.

    Working time = sum over shifts of (length - breaks - planned stops). A shift
    over midnight belongs to the day on which it starts; a change of the clocks
    is not taken into account.
    """
    return sum((_shift_time(shift) for shift in calendar.shifts), Fraction(0))


def exact_time_per_week(calendar: Calendar) -> Fraction:
    """Return the working time of one week in seconds, exactly."""
    return exact_time_per_day(calendar) * working_days(calendar)


def exact_time_per_period(calendar: Calendar, period: Period) -> Fraction:
    """Return the working time in the period a demand is stated for, in seconds.

    An hour is an hour of working time. With several shifts a day, the time per
    shift is the time per day / number of shifts.
    """
    if period == Period.HOUR:
        return Fraction(HOUR_S)
    if period == Period.WEEK:
        return exact_time_per_week(calendar)
    if not working_days(calendar):
        return Fraction(0)
    shifts = len(calendar.shifts) if period == Period.SHIFT else 1
    return exact_time_per_day(calendar) / max(shifts, 1)


def exact_units_per_week(calendar: Calendar, demand: Demand) -> Fraction | None:
    """Return the good units wanted per week, exactly; None: no demand or no working time."""
    time = exact_time_per_period(calendar, demand.period)
    week = exact_time_per_week(calendar)
    if demand.quantity is None or not is_number(demand.quantity) or not time or not week:
        return None
    return fraction(demand.quantity) * week / time


def check_calendar(calendar: Calendar) -> tuple[Finding, ...]:
    """Return what is wrong with a calendar: long breaks, overlapping shifts, no working time."""
    found = []
    for shift in (shift for shift in calendar.shifts if not _shift_time(shift)):
        length, breaks = shift.length_min, "more than can be counted"
        breaks = figure(shift.break_min) if is_number(shift.break_min) else breaks
        message = (
            f"The breaks ({breaks} min) are as long as the shift ({length} min) or longer; "
            "the shift gives no working time."
        )
        found.append(error("breaks-too-long", f"Shift {shift.name}", message))
    found += _overlaps(calendar)
    if not exact_time_per_week(calendar):
        why = "no working day is entered" if not calendar.days else "the breaks fill every shift"
        why = why if calendar.shifts else "no shift is entered"
        found.append(error("no-working-time", "Calendar", f"There is no working time: {why}."))
    return tuple(found)


def check_stops(calendar: Calendar, demand: Demand) -> tuple[Finding, ...]:
    """Return a warning for each stop that may be counted twice.

    Unplanned stops belong into the availability. A break of the calendar that
    speaks of them, beside an availability under 1, takes them off twice.
    """
    if not demand.availability < 1:
        return ()
    return tuple(
        warning(
            "availability-twice",
            f"Shift {shift.name}, {pause.name}",
            f"{figure(pause.minutes)} min are taken off the working time for {pause.name!r}, and "
            f"the availability {figure(demand.availability)} takes stops off once more.",
        )
        for shift in calendar.shifts
        for pause in shift.breaks
        if pause.minutes and _speaks_of_stops(pause.name)
    )


def _shift_time(shift: Shift) -> Fraction:
    """Return the working time of one shift in seconds; nothing when the breaks fill it."""
    if not shift.break_min < LARGEST:
        return Fraction(0)
    breaks = sum((fraction(b.minutes) for b in shift.breaks), Fraction(0))
    return max((shift.length_min - breaks) * 60, Fraction(0))


def _speaks_of_stops(name: str) -> bool:
    """Return whether the name of a break speaks of stops that nobody plans."""
    words = name.lower()
    is_planned = "planned" in words and "unplanned" not in words
    return not is_planned and any(stop in words for stop in STOP_WORDS)


def _overlaps(calendar: Calendar) -> Iterator[Finding]:
    """Name every pair of shifts that runs at the same time on some day."""
    week = list(Weekday)
    spans = sorted(
        (week.index(day) * DAY_MINUTES + clock_minutes(shift.start), position, day)
        for day in set(calendar.days)
        for position, shift in enumerate(calendar.shifts)
    )
    named: set[tuple[int, int]] = set()
    for n, (start, one, day) in enumerate(spans):
        # The week goes round: the night shift of Sunday ends on Monday.
        later = spans[n + 1 :] + [(begin + WEEK_MINUTES, k, d) for begin, k, d in spans[:n]]
        for begin, other, _ in later:
            both = start + calendar.shifts[one].length_min - begin
            if both <= 0:
                break
            pair = (min(one, other), max(one, other))
            if pair not in named:
                named.add(pair)
                first, then = calendar.shifts[one], calendar.shifts[other]
                yield warning(
                    "shifts-overlap",
                    f"Shifts {first.name} and {then.name}",
                    f"Shift {first.name} ({first.start} to {first.end}, from {day}) still runs for "
                    f"{min(both, then.length_min)} min when shift {then.name} ({then.start} to "
                    f"{then.end}) works; that time counts twice.",
                )
