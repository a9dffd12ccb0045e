"""The lifting equation against the examples of DHHS (NIOSH) Publication 94-110."""

from fractions import Fraction

import pytest

from stationflow.model import Coupling, LiftDuration
from stationflow.people.lifting import (
    FREQUENCIES,
    Hands,
    Lifting,
    Measures,
    Often,
    composite_index,
    counted_minutes,
    coupling_multiplier,
    duration_class,
    frequency_multiplier,
    lifting_index,
    multipliers,
    weight_limit,
)

SHORT, MODERATE, LONG = LiftDuration
IDEAL = Hands(reach=25, height=75)
US = Measures(  # lb and inches
    load=51, reach=10, most_reach=25, knuckle=30, by_height=Fraction(3, 400), most_height=70,
    by_travel=Fraction(9, 5), travel=10, most_travel=70,
)  # fmt: skip


def in_pounds(at: Hands, start: Hands, end: Hands, often: Often) -> tuple[Fraction, float]:
    """Return the limit with all digits, and as a worksheet has it: multipliers of two digits."""
    factors = multipliers(at, start, end, often, US)
    rounded = {name: Fraction(round(float(each), 2)) for name, each in factors.items()}
    return weight_limit(factors, US), float(weight_limit(rounded, US))


# Example 4 of the manual, package inspection (page 46): from 22 to 59 in, so 37 in of travel.
PACKAGE = Hands(reach=10, height=22), Hands(reach=20, height=59)
PACKAGE_OFTEN = Often(a_minute=3, duration=SHORT, coupling=Coupling.FAIR)


def test_the_start_of_package_inspection_is_as_its_worksheet_has_it():
    exact, worksheet = in_pounds(PACKAGE[0], *PACKAGE, PACKAGE_OFTEN)
    assert (round(float(exact), 1), round(worksheet, 1)) == (34.8, 34.9)


def test_the_end_of_package_inspection_is_as_its_worksheet_has_it():
    exact, worksheet = in_pounds(PACKAGE[1], *PACKAGE, PACKAGE_OFTEN)
    assert (round(float(exact), 2), round(worksheet, 1)) == (15.25, 15.2)


def test_26_lb_have_the_index_of_package_inspection_at_start_and_end():
    limits = [in_pounds(at, *PACKAGE, PACKAGE_OFTEN)[0] for at in PACKAGE]
    indices = [lifting_index(26, limit) for limit in limits]
    assert [round(float(index or 0), 3) for index in indices] == [0.747, 1.705]


# Example 1, loading punch-press stock: 44 lb, from 15 to 64 in, lifted once in a while.
STOCK = Hands(reach=23, height=15), Hands(reach=23, height=64)
STOCK_OFTEN = Often(a_minute=0.1, duration=SHORT, coupling=Coupling.FAIR)


def test_punch_press_stock_has_the_index_of_its_example():
    # 16.02 and 14.15 lb with all digits; the worksheet takes .44 of a table for 10 / 23 = .4348.
    limits = [in_pounds(at, *STOCK, STOCK_OFTEN)[0] for at in STOCK]
    assert [round(float(limit), 2) for limit in limits] == [16.02, 14.15]
    assert [round(float(lifting_index(44, each) or 0), 3) for each in limits] == [2.747, 3.109]


def test_a_case_in_metric_units_is_as_worked_out_by_hand():
    # 23 x 25/25 x (1 - .003 x 20) x (.82 + 4.5/95) x .88 x .95 = 15.68; with two digits 15.72
    start, end = Hands(reach=25, height=55), Hands(reach=25, height=150)
    often = Often(a_minute=3, duration=SHORT, coupling=Coupling.FAIR)
    limit = weight_limit(multipliers(start, start, end, often))
    assert round(float(limit), 2) == 15.68
    assert round(float(lifting_index(12, limit) or 0), 3) == 0.765


def test_the_best_lift_has_the_load_constant_as_its_limit():
    often = Often(a_minute=0.2, duration=SHORT, coupling=Coupling.GOOD)
    assert weight_limit(multipliers(IDEAL, IDEAL, IDEAL, often)) == 23


@pytest.mark.parametrize(
    ("name", "hands", "given"),
    [
        ("reach", Hands(reach=24, height=75), 1),
        ("reach", Hands(reach=63, height=75), Fraction(25, 63)),
        ("reach", Hands(reach=63.1, height=75), 0),
        ("height", Hands(reach=25, height=175), Fraction(7, 10)),
        ("height", Hands(reach=25, height=176), 0),
        ("turn", Hands(reach=25, height=75, turn_deg=135), Fraction(568, 1000)),
        ("turn", Hands(reach=25, height=75, turn_deg=136), 0),
    ],
)
def test_a_multiplier_ends_where_the_manual_ends_it(name: str, hands: Hands, given: Fraction):
    assert multipliers(hands, hands, hands, Often(a_minute=1))[name] == given


@pytest.mark.parametrize(("height", "given"), [(150, Fraction(88, 100)), (205, 0)])
def test_travel_counts_from_25_to_175_cm(height: int, given: Fraction):
    # from 75 to 150 cm: .82 + 4.5 / 75 = .88; from 25 to 205 cm: 180 cm are too far
    start = Hands(reach=25, height=75 if height == 150 else 25)
    factors = multipliers(start, start, Hands(reach=25, height=height), Often(a_minute=1))
    assert factors["travel"] == given


# Table 5 of the manual, hands below and at or above 75 cm.
@pytest.mark.parametrize(
    ("duration", "is_low", "row"),
    [
        (SHORT, True, "100 97 94 91 88 84 80 75 70 60 52 45 41 37 0 0 0"),
        (SHORT, False, "100 97 94 91 88 84 80 75 70 60 52 45 41 37 34 31 28"),
        (MODERATE, True, "95 92 88 84 79 72 60 50 42 35 30 26 0 0 0 0 0"),
        (MODERATE, False, "95 92 88 84 79 72 60 50 42 35 30 26 23 21 0 0 0"),
        (LONG, True, "85 81 75 65 55 45 35 27 22 18 0 0 0 0 0 0 0"),
        (LONG, False, "85 81 75 65 55 45 35 27 22 18 15 13 0 0 0 0 0"),
    ],
)
def test_the_multiplier_of_the_frequency_is_the_table(
    duration: LiftDuration, is_low: bool, row: str
):
    got = [frequency_multiplier(f, duration, is_low=is_low) for f in FREQUENCIES]
    assert got == [Fraction(int(each), 100) for each in row.split()]


def test_between_two_rows_the_multiplier_lies_between():
    assert frequency_multiplier(2.5, SHORT, is_low=True) == Fraction(895, 1000)


def test_more_than_15_lifts_a_minute_have_no_multiplier():
    assert frequency_multiplier(15.1, SHORT, is_low=False) == 0


@pytest.mark.parametrize(
    ("coupling", "low", "high"),
    [(Coupling.GOOD, 100, 100), (Coupling.FAIR, 95, 100), (Coupling.POOR, 90, 90)],
)
def test_the_multiplier_of_the_hold_is_the_table(coupling: Coupling, low: int, high: int):
    got = [100 * coupling_multiplier(coupling, is_low=is_low) for is_low in (True, False)]
    assert got == [low, high]


def test_the_height_at_the_start_decides_on_the_frequency_at_the_end_too():
    # 9 a minute for 8 h: 0 below 75 cm, although the end is at 100 cm
    start, end = Hands(reach=25, height=60), Hands(reach=25, height=100)
    assert multipliers(end, start, end, Often(a_minute=9))["frequency"] == 0


def test_without_a_weight_limit_there_is_no_index():
    assert lifting_index(5, Fraction(0)) is None


def test_ten_lifts_a_minute_for_8_minutes_count_as_five_and_a_third():
    # the special procedure of the manual: 80 lifts in 8 minutes of every hour, 10 x 8 / 15 = 5.33
    assert 80 / (counted_minutes(80, 8, 60) or 0) == Fraction(16, 3)


def test_lifts_of_a_short_cycle_are_counted_over_it():
    assert counted_minutes(2, Fraction(1, 30), Fraction(3, 4)) == Fraction(3, 4)


def test_a_burst_faster_than_15_a_minute_is_not_covered():
    assert counted_minutes(40, 2, 60) is None


@pytest.mark.parametrize(
    ("sessions", "given"),
    [
        ([(30, 10), (45, 0)], MODERATE),  # 75 minutes, as in section 1.3.5 of the manual
        ([(30, 30), (45, 45)], SHORT),
        ([(120, 36), (120, 36)], MODERATE),
        ([(120, 35), (120, 0)], LONG),
        ([(480, 0)], LONG),
        ([(481, 0)], None),
    ],
)
def test_sessions_with_too_short_a_rest_are_one(sessions, given):
    assert duration_class(sessions) == given


def job(index: float, a_minute: float) -> Lifting:
    """Return a task with this index at any rate, lifted for at most 1 h."""
    return Lifting(load=index, at_any_rate=Fraction(1), a_minute=a_minute, duration=SHORT)


def test_the_composite_index_is_that_of_the_example_of_the_manual():
    # Page 28: 1.6 + 1.0 x (1/.88 - 1/.94) + 0.5 x (1/.70 - 1/.88) = 1.819; 1, 2 and 4 lifts
    # a minute add up to 1, 3 and 7. The first alone: 1.504 / .94 = 1.6.
    tasks = [job(0.5, 4), job(1.0, 2), job(1.504, 1)]
    assert round(float(composite_index(tasks) or 0), 3) == 1.819


def test_the_composite_index_of_one_task_is_its_own():
    assert composite_index([job(1, 3)]) == 1 / Fraction(88, 100)


def test_lifts_that_are_too_many_together_have_no_composite_index():
    assert composite_index([job(0.1, 8), job(0.1, 8)]) is None
