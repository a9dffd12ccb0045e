"""Formulas as rows. Every text is held against its number by reading the text."""

from dataclasses import replace
from fractions import Fraction

import pytest
from printed_formulas import misses

from stationflow.model import Break, Calendar, Demand, Explained, Line, Period, Product, Shift
from stationflow.pace.capacity import explain_good_units, explain_workers
from stationflow.pace.formula import Formula, entered_time, plain
from stationflow.pace.reach import ways_to_reach
from stationflow.pace.takt import line_pace

TAKT = Formula(name="takt time", unit="s", right="working time x lines / good units", source="-")
VALUES = {"working time": entered_time(27_000), "lines": plain(1), "good units": plain(450)}
PRODUCT = Product(
    code="P",
    calendar=Calendar(
        shifts=(
            Shift(name="early", start="06:00", end="14:00"),
            Shift(name="late", start="14:00", end="22:00"),
        )
    ),
    demand=Demand(quantity=400, period=Period.DAY, yield_share=0.8, availability=0.9),
    lines=(
        Line(copies=2, repositioning_ms=1500),
        Line(name="board", feeds="main", quantity=2, replacement_share=0.25, yield_share=0.5),
    ),
)


def opened_with(period: Period) -> list[Explained]:
    product = replace(PRODUCT, demand=replace(PRODUCT.demand, period=period))
    numbers = [n for line in product.lines for n in line_pace(product, line.name).numbers]
    numbers += [way.number for way in ways_to_reach(product, 100_000)]
    numbers.append(explain_good_units(product.calendar, product.demand, 62.5, 2))
    return [*numbers, explain_workers(2832, 67.68, repositioning_s=6, balance_efficiency=0.92)]


def test_the_values_stand_in_the_place_of_their_words():
    assert TAKT.opened(VALUES)[1].worked == "27 000 s x 1 / 450 = 60.000 s"


def test_the_number_is_what_the_formula_gives():
    assert TAKT.opened(VALUES)[0] == 60


def test_a_number_rounded_up_says_what_it_was_before():
    formula = Formula(name="lines", right="good units / lines", is_rounded_up=True, source="-")
    opened = formula.opened({"good units": plain(7), "lines": plain(2)})[1]
    assert (opened.formula, opened.worked, opened.value) == (
        "lines = good units / lines, rounded up",
        "7 / 2 = 3.5, rounded up 4",
        4,
    )


def test_words_that_hold_other_words_are_put_in_whole():
    formula = Formula(name="n", right="copies of copies / copies", source="-")
    assert formula.worked({"copies": plain(2), "copies of copies": plain(6)}) == "6 / 2 = 3"


def test_a_second_way_to_another_number_is_told():
    assert replace(TAKT, how="the clock").opened(VALUES, 61)[1].check.startswith("Differs: the")


def test_a_formula_of_anything_but_arithmetic_is_refused():
    with pytest.raises(ValueError, match="a formula is made of"):
        replace(TAKT, right="lines if lines else lines").worked(VALUES)


@pytest.mark.parametrize("period", Period)
def test_every_formula_of_the_pace_worked_out_as_printed_gives_the_printed_number(period: Period):
    assert [miss for number in opened_with(period) for miss in misses(number)] == []


# By hand: 20 000 / 3 = 6666.667, and 3 x 6666.667 = 20 000.001; the third place asks for more.
def test_a_value_has_the_digits_that_the_result_needs():
    formula = Formula(name="n", right="a x b", source="-")
    values = {"a": plain(Fraction(20_000, 3), 3), "b": plain(3)}
    assert formula.worked(values) == "6 666.66667 x 3 = 20 000"


# By hand: 3 / (1/3) is 9 exactly; any number of threes gives a bit more, rounded up 10.
def test_a_value_whose_digits_never_end_stands_as_a_quotient_where_they_would_mislead():
    formula = Formula(name="n", right="a / b", source="-", is_rounded_up=True)
    values = {"a": plain(3), "b": plain(Fraction(1, 3))}
    assert formula.worked(values) == "3 / (1 / 3) = 9, rounded up 9"


def test_a_result_just_above_a_whole_shows_that_it_is_above():
    formula = Formula(name="n", right="a / b", source="-", is_rounded_up=True)
    worked = formula.worked({"a": plain(2.00001), "b": plain(1)})
    assert worked == "2.00001 / 1 = 2.00001, rounded up 3"


def test_breaks_longer_than_one_of_two_shifts_leave_nothing_of_it():
    late = Shift(name="late", start="14:00", end="18:00", breaks=(Break(name="b", minutes=300),))
    early = Shift(name="early", start="06:00", end="14:00", breaks=(Break(name="b", minutes=30),))
    demand = replace(PRODUCT.demand, period=Period.DAY)
    product = replace(PRODUCT, calendar=Calendar(shifts=(early, late)), demand=demand)
    time = line_pace(product, "main").numbers[0]
    # By hand: 450 min x 60 = 27 000 s; the late shift works nothing.
    assert time.worked == "((480 - 30) + max(0, 240 - 300)) min x 60 = 27 000 s"
    assert (time.value, time.check[:6]) == (27_000, "Agrees")
