"""Working time of a calendar. Expected values are worked out by hand unless a source is named."""

import pytest

from stationflow.model import Break, Calendar, Demand, Shift, Weekday
from stationflow.pace.working_time import (
    check_calendar,
    check_stops,
    exact_time_per_day,
    exact_time_per_week,
)

EARLY = Shift(name="early", start="06:00", end="14:00")
LATE = Shift(name="late", start="14:00", end="22:00")
NIGHT = Shift(name="night", start="22:00", end="06:00")


def codes(*shifts: Shift, days: tuple[Weekday, ...] = Calendar().days) -> list[str]:
    return [finding.code for finding in check_calendar(Calendar(days=days, shifts=shifts))]


def test_breaks_are_not_working_time():
    # Operations management essay example: 8 h less 4 x 15 min are 7 h.
    breaks = tuple(Break(name=str(n), minutes=15) for n in range(4))
    shift = Shift(name="day", start="08:00", end="16:00", breaks=breaks)
    assert exact_time_per_day(Calendar(shifts=(shift,))) == 7 * 3600


def test_a_week_has_as_many_days_as_are_worked():
    assert exact_time_per_week(Calendar(shifts=(EARLY,))) == 40 * 3600


def test_a_shift_over_midnight_has_its_full_length():
    assert exact_time_per_day(Calendar(shifts=(NIGHT,))) == 8 * 3600


def test_tenths_of_minutes_add_up_exactly():
    breaks = tuple(Break(name=str(n), minutes=0.1) for n in range(3))
    shift = Shift(name="day", start="08:00", end="09:00", breaks=breaks)
    assert exact_time_per_day(Calendar(shifts=(shift,))) == 3582


def test_a_day_named_twice_counts_once():
    calendar = Calendar(days=(Weekday.MONDAY, Weekday.MONDAY), shifts=(EARLY,))
    assert exact_time_per_week(calendar) == 8 * 3600


def test_three_shifts_round_the_clock_do_not_overlap():
    assert codes(EARLY, LATE, NIGHT, days=tuple(Weekday)) == []


def test_shifts_of_one_day_that_overlap_are_named():
    assert codes(EARLY, Shift(name="late", start="13:30", end="22:00")) == ["shifts-overlap"]


def test_a_night_shift_that_runs_into_the_next_day_is_named():
    assert codes(EARLY, Shift(name="night", start="22:00", end="06:30")) == ["shifts-overlap"]


def test_the_night_of_sunday_runs_into_monday():
    night = Shift(name="night", start="22:00", end="06:30")
    assert codes(EARLY, night, days=(Weekday.SUNDAY, Weekday.MONDAY)) == ["shifts-overlap"]


def test_a_night_shift_before_a_free_day_overlaps_nothing():
    night = Shift(name="night", start="22:00", end="06:30")
    assert codes(EARLY, night, days=(Weekday.MONDAY, Weekday.WEDNESDAY)) == []


def test_a_shift_of_24_hours_overlaps_every_other():
    assert codes(EARLY, Shift(name="all", start="06:00", end="06:00")) == ["shifts-overlap"]


def test_the_overlap_is_given_in_minutes():
    calendar = Calendar(shifts=(EARLY, Shift(name="late", start="13:30", end="22:00")))
    assert "for 30 min" in check_calendar(calendar)[0].message


@pytest.mark.parametrize("minutes", [480, 481, float("inf")])
def test_breaks_that_fill_the_shift_are_named(minutes: float):
    shift = Shift(
        name="day", start="06:00", end="14:00", breaks=(Break(name="b", minutes=minutes),)
    )
    assert codes(shift, LATE) == ["breaks-too-long"]


def test_breaks_that_fill_one_shift_leave_the_other():
    shift = Shift(name="day", start="06:00", end="14:00", breaks=(Break(name="b", minutes=500),))
    assert exact_time_per_day(Calendar(shifts=(shift, LATE))) == 8 * 3600


@pytest.mark.parametrize("calendar", [Calendar(), Calendar(days=(), shifts=(EARLY,))])
def test_a_calendar_without_working_time_is_named(calendar: Calendar):
    assert [finding.code for finding in check_calendar(calendar)] == ["no-working-time"]


def stops(name: str, availability: float) -> int:
    shift = Shift(name="d", start="06:00", end="14:00", breaks=(Break(name=name, minutes=20),))
    return len(check_stops(Calendar(shifts=(shift,)), Demand(availability=availability)))


@pytest.mark.parametrize("name", ["Line stops", "breakdowns", "Unplanned stops", "power failure"])
def test_stops_in_calendar_and_availability_are_counted_twice(name: str):
    assert stops(name, 0.95) == 1


@pytest.mark.parametrize("name", ["Lunch", "Planned stop", "Clean-down"])
def test_planned_time_beside_an_availability_is_counted_once(name: str):
    assert stops(name, 0.95) == 0


def test_stops_in_the_calendar_alone_are_counted_once():
    assert stops("breakdowns", 1.0) == 0
