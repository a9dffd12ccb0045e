"""Takt time, operating takt and station time against published examples and by hand."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stationflow.model import (
    Break,
    Calendar,
    Demand,
    FurtherJoin,
    Line,
    Period,
    Product,
    Severity,
    Shift,
)
from stationflow.pace.takt import (
    check_pace,
    line_pace,
    operating_takt_s,
    station_time_s,
    takt_time_s,
)

# Five days of 8 hours less half an hour of breaks: 27 000 s a day.
DAY_SHIFT = Shift(name="day", start="06:00", end="14:00", breaks=(Break(name="b", minutes=30),))
PLAIN = Product(
    code="P",
    calendar=Calendar(shifts=(DAY_SHIFT,)),
    demand=Demand(quantity=450, period=Period.DAY),
)
BOARD = Line(name="board", feeds="main", join="10")


def with_feeder(
    demand: Demand = PLAIN.demand, main: Line | None = None, **facts: object
) -> Product:
    lines = (main or Line(), replace(BOARD, **facts))
    return replace(PLAIN, demand=demand, lines=lines)


def codes(product: Product, line: str = "main") -> list[str]:
    return [finding.code for finding in line_pace(product, line).findings]


# Working time in the period, good units, takt in seconds, source.
PUBLISHED = [
    (420 * 60, 500, 50.4, "Chase/Jacobs, Operations Management, 'Model J wagon' example"),
    (40 * 3600, 2400, 60.0, "Krajewski/Ritzman/Malhotra, ch. 7, fertilizer spreader example"),
    (8 * 3600, 192, 150.0, "Krajewski/Ritzman/Malhotra, ch. 7, Solved Problem 2"),
    (3600, 30, 120.0, "Krajewski/Ritzman/Malhotra, ch. 7, application: 30 units an hour"),
    (480 * 60, 240, 120.0, "operations management exercise with 7 elements, 480 min, 240 units"),
    (3600, 180, 20.0, "operations management exam sheet: 180 units an hour"),
    (7 * 3600, 420, 60.0, "operations management essay example: 8 h less 4 x 15 min, 420 units"),
]


@pytest.mark.parametrize(("time_s", "units", "takt", "source"), PUBLISHED)
def test_the_takt_time_is_the_published_one(time_s: float, units: float, takt: float, source: str):
    assert takt_time_s(time_s, units) == takt, source


# Hours a year, units, availability, repositioning in s, T_c and T_s in minutes, source.
GROOVER = [
    (2000, 100_000, 0.94, 6.0, 1.128, 1.028, "Groover, problem set, manual assembly lines"),
    (2500, 150_000, 0.96, 6.0, 0.96, 0.86, "Groover, problem (statement seen, answer computed)"),
    (1875, 100_000, 0.97, 6.0, 1.09125, 0.99125, "Groover, problem (answer computed)"),
    (1875, 100_000, 0.96, 4.8, 1.08, 1.0, "Groover, line-balancing example (from memory)"),
]


@pytest.mark.parametrize(("hours", "units", "share", "loss", "cycle", "station", "source"), GROOVER)
def test_the_operating_takt_is_groovers_cycle_time(
    hours: float, units: float, share: float, loss: float, cycle: float, station: float, source: str
):
    takt = operating_takt_s(takt_time_s(hours * 3600, units), availability=share)
    assert takt == pytest.approx(cycle * 60, rel=1e-12), source


@pytest.mark.parametrize(("hours", "units", "share", "loss", "cycle", "station", "source"), GROOVER)
def test_the_station_time_is_groovers_service_time(
    hours: float, units: float, share: float, loss: float, cycle: float, station: float, source: str
):
    takt = operating_takt_s(takt_time_s(hours * 3600, units), availability=share)
    assert station_time_s(takt, loss) == pytest.approx(station * 60, rel=1e-12), source


def test_the_takt_of_a_product_is_exact():
    assert line_pace(PLAIN, "main").takt_time_s == 60  # 27 000 s / 450, by hand


def test_a_takt_that_is_no_round_number_is_not_rounded():
    product = replace(PLAIN, demand=Demand(quantity=7, period=Period.HOUR))
    assert line_pace(product, "main").takt_time_s == 3600 / 7


@pytest.mark.parametrize(
    ("period", "quantity"),
    [(Period.HOUR, 60), (Period.SHIFT, 450), (Period.DAY, 900), (Period.WEEK, 4500)],
)
def test_one_pace_may_be_stated_for_any_period(period: Period, quantity: float):
    # By hand: two shifts of 27 000 s a day, 60 s each: 450 a shift, 900 a day, 4 500 in 5 days.
    late = replace(DAY_SHIFT, name="late", start="14:00", end="22:00")
    calendar = Calendar(shifts=(DAY_SHIFT, late))
    product = replace(PLAIN, calendar=calendar, demand=Demand(quantity=quantity, period=period))
    assert line_pace(product, "main").takt_time_s == 60


def test_two_copies_of_the_main_line_have_twice_the_takt():
    product = replace(PLAIN, lines=(Line(copies=2),))
    assert line_pace(product, "main").takt_time_s == 120


def test_yield_and_availability_make_the_operating_takt_shorter():
    demand = replace(PLAIN.demand, yield_share=0.9, availability=0.95)
    # By hand: 60 s x 0.9 x 0.95.
    assert line_pace(replace(PLAIN, demand=demand), "main").operating_takt_s == 51.3


def test_repositioning_is_taken_off_the_operating_takt():
    product = replace(PLAIN, lines=(Line(repositioning_ms=4500),))
    assert line_pace(product, "main").station_time_s == 55.5


def test_starts_are_good_units_over_yield():
    demand = replace(PLAIN.demand, yield_share=0.9)
    # By hand: 450 x 5 / 0.9.
    assert line_pace(replace(PLAIN, demand=demand), "main").starts_per_week == 2500


def test_a_feeder_of_two_units_with_losses_runs_faster():
    # Formula T_f = T_op x Y_f / (q_f x (1 + r)); by hand 60 x 0.96 / (2 x 1.2) = 24 s.
    product = with_feeder(quantity=2, yield_share=0.96, replacement_share=0.2)
    assert line_pace(product, "board").operating_takt_s == 24


def test_a_feeder_without_losses_has_the_operating_takt_of_the_main_line():
    product = with_feeder(replace(PLAIN.demand, yield_share=0.9, availability=0.95))
    assert line_pace(product, "board").operating_takt_s == 51.3


def test_the_takt_time_of_a_feeder_counts_the_good_units_the_main_line_starts():
    # By hand: 450 / 0.9 = 500 starts a day, 27 000 s / 500.
    product = with_feeder(replace(PLAIN.demand, yield_share=0.9, availability=0.95))
    assert line_pace(product, "board").takt_time_s == 54


def test_two_copies_of_a_feeder_share_the_work():
    assert line_pace(with_feeder(copies=2), "board").operating_takt_s == 120


def test_one_feeder_of_two_main_lines_runs_twice_as_fast_as_they_do():
    product = with_feeder(main=Line(copies=2))
    assert line_pace(product, "board").operating_takt_s == 60  # each main line runs at 120 s


def test_a_feeder_of_a_feeder_follows_the_chain():
    loom = Line(name="loom", feeds="board", quantity=3)
    product = with_feeder(quantity=2)
    product = replace(product, lines=(*product.lines, loom))
    assert line_pace(product, "loom").operating_takt_s == 10  # by hand: 60 / 2 / 3


def test_starts_of_a_feeder_cover_replacement_and_yield():
    product = with_feeder(quantity=2, yield_share=0.96, replacement_share=0.2)
    # By hand: 450 x 5 x 2 x 1.2 / 0.96.
    assert line_pace(product, "board").starts_per_week == 5625


def test_repositioning_of_a_feeder_is_its_own():
    product = with_feeder(main=Line(repositioning_ms=9000), repositioning_ms=2000)
    assert line_pace(product, "board").station_time_s == 58


@pytest.mark.parametrize("quantity", [None, 0, float("inf")])
def test_without_a_demand_there_is_no_takt(quantity: float | None):
    product = replace(PLAIN, demand=Demand(quantity=quantity))
    assert (line_pace(product, "main").takt_time_s, codes(product)) == (None, ["no-demand"])


def test_without_working_time_there_is_no_takt():
    product = replace(PLAIN, calendar=Calendar())
    assert (line_pace(product, "main").takt_time_s, codes(product)) == (None, ["no-working-time"])


def test_a_demand_per_hour_sets_the_pace_without_a_calendar():
    product = Product(code="P", demand=Demand(quantity=30, period=Period.HOUR))
    assert line_pace(product, "main").takt_time_s == 120


def test_a_missing_calendar_is_a_warning_where_the_pace_does_not_need_it():
    product = Product(code="P", demand=Demand(quantity=30, period=Period.HOUR))
    assert line_pace(product, "main").findings[0].severity == Severity.WARNING


@pytest.mark.parametrize("share", [0, -0.1, 1.5, 95, float("nan")])
def test_a_share_that_is_none_is_named(share: float):
    product = replace(PLAIN, demand=replace(PLAIN.demand, yield_share=share))
    assert "share-out-of-range" in codes(product)


def test_a_bad_share_of_a_feeder_leaves_the_main_line_alone():
    assert codes(with_feeder(yield_share=1.2)) == []


def test_a_takt_that_demand_makes_tiny_is_not_written_as_nothing():
    product = replace(
        PLAIN, demand=Demand(quantity=1e9, period=Period.DAY), lines=(Line(repositioning_ms=5000),)
    )
    (finding,) = check_pace(product)
    # 27 000 s / 1 000 000 000
    assert finding.message == (
        "Repositioning takes 5 s of the operating takt of 0.000027 s; nothing is left for work."
    )


def test_repositioning_longer_than_the_takt_leaves_no_station_time():
    product = replace(PLAIN, lines=(Line(repositioning_ms=60_000),))
    assert (line_pace(product, "main").station_time_s, codes(product)) == (
        None,
        ["no-station-time"],
    )


@pytest.mark.parametrize("facts", [{"quantity": 0}, {"copies": 0}, {"repositioning_ms": -1}])
def test_a_number_no_line_can_have_is_named(facts: dict[str, float]):
    assert codes(with_feeder(**facts), "board") == ["line-number-impossible"]


def test_a_line_that_does_not_exist_is_named():
    assert codes(PLAIN, "board") == ["unknown-line"]


def test_a_line_that_feeds_an_unknown_line_has_no_pace():
    assert codes(with_feeder(feeds="mian"), "board") == ["unknown-line"]


def test_lines_that_feed_in_a_circle_have_no_pace():
    product = replace(PLAIN, lines=(BOARD, replace(BOARD, name="main", feeds="board")))
    assert codes(product, "board") == ["line-circle"]


def test_the_takt_opens_with_its_values():
    opened = {number.name: number.worked for number in line_pace(PLAIN, "main").numbers}
    assert opened["takt time"] == "27 000 s x 1 / 450 = 60.000 s"


def test_the_operating_takt_names_the_other_meaning_of_cycle_time():
    opened = {number.name: number.other for number in line_pace(PLAIN, "main").numbers}
    assert "cycle time" in opened["operating takt"]


def test_every_number_has_formula_values_and_source():
    product = with_feeder(quantity=2, yield_share=0.9)
    numbers = (*line_pace(product, "main").numbers, *line_pace(product, "board").numbers)
    assert all(n.formula and n.worked and n.source for n in numbers)


def test_all_paces_together_name_a_finding_once():
    product = replace(with_feeder(), demand=Demand())
    assert [finding.code for finding in check_pace(product)] == ["no-demand"]


def test_no_good_units_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="good_units"):
        takt_time_s(27_000, 0)


def test_all_paces_together_leave_broken_chains_to_the_check_of_lines():
    assert check_pace(with_feeder(feeds="mian")) == ()


@pytest.mark.parametrize(
    ("entered", "words"),
    [
        ({"quantity": 2}, "Its quantity is 2 "),
        ({"yield_share": 0.95}, "Its yield is 0.95 "),
        ({"replacement_share": 0.02}, "Its replacement is 0.02 "),
    ],
)
def test_what_is_entered_for_the_main_line_and_means_nothing_there_is_named(entered, words):
    plain = replace(PLAIN, lines=(Line(**entered),))
    found = [f for f in line_pace(plain, "main").findings if f.code == "line-number-not-used"]
    assert [f.message.startswith(words) for f in found] == [True]


def test_a_main_line_as_it_is_usual_has_nothing_that_is_not_used():
    assert line_pace(PLAIN, "main").findings == ()


# Loom: two in each unit of the main line, three in each board, of which one goes into a unit.
LOOM = replace(BOARD, name="loom", quantity=2.0)
SHARED = replace(
    PLAIN,
    lines=(Line(), BOARD, LOOM),
    joins=(FurtherJoin(line="loom", feeds="board", join="b1", quantity=3),),
)


def test_a_feeder_that_serves_two_lines_delivers_what_both_take():
    # 60 s a unit, 2 + 3 looms in it.
    assert line_pace(SHARED, "loom").operating_takt_s == 12


def test_a_feeder_of_two_lines_that_feed_no_other_has_the_pace_that_both_ask_for():
    # As a draft may say it; 60 s a unit on either line, 2 looms in one and 3 in the other.
    lines = (Line(), replace(BOARD, feeds=""), LOOM)
    assert line_pace(replace(SHARED, lines=lines), "loom").operating_takt_s == 12


def test_a_feeder_that_serves_two_lines_starts_what_both_take():
    # 2 250 a week, a fiftieth of the looms for the main line is lost: 2 250 x (2 x 1.02 + 3).
    lines = (Line(), BOARD, replace(LOOM, replacement_share=0.02))
    assert line_pace(replace(SHARED, lines=lines), "loom").starts_per_week == 11_340


def test_the_starts_of_all_takers_stand_in_the_formula():
    opened = {n.key: n for n in line_pace(SHARED, "loom").numbers}
    assert "2 250 x 2 x (1 + 0) + 2 250 x 3 x (1 + 0)" in opened["good-units-per-week"].worked


def test_a_further_join_of_no_units_is_named():
    joins = (replace(SHARED.joins[0], quantity=0),)
    assert codes(replace(SHARED, joins=joins), "loom") == ["line-number-impossible"]


def test_a_bought_in_feeder_has_the_pace_of_its_units():
    assert line_pace(with_feeder(bought_in=True, quantity=2), "board").operating_takt_s == 30


@given(
    *(st.integers(1, 3) for _ in range(3)),
    *(st.decimals("0.1", 4, places=2).map(float) for _ in range(2)),
    *(st.decimals("0.5", 1, places=3).map(float) for _ in range(2)),
    st.decimals(0, "0.3", places=3).map(float),
)
def test_units_are_conserved_at_the_joins(
    main: int, board: int, loom: int, q1: float, q2: float, y1: float, y2: float, extra: float
):
    """What a feeder makes good in a week is what all its takers start with."""
    lines = (
        Line(copies=main),
        replace(BOARD, copies=board, yield_share=y1, quantity=q1),
        replace(LOOM, copies=loom, yield_share=y2, replacement_share=extra),
    )
    joins = (replace(SHARED.joins[0], quantity=q2),)
    product = replace(SHARED, lines=lines, joins=joins)
    starts = {line.name: line_pace(product, line.name).starts_per_week or 0 for line in lines}
    taken = starts["main"] * 2 * (1 + extra) + starts["board"] * q2
    assert starts["loom"] * y2 == pytest.approx(taken)


@given(st.integers(1, 50), st.decimals("0.1", 4, places=2).map(float))
def test_starts_and_operating_takt_agree(copies: int, quantity: float):
    """Starts a week x operating takt = working time x copies, for a feeder of two lines too."""
    lines = (Line(), BOARD, replace(LOOM, copies=copies, quantity=quantity))
    pace = line_pace(replace(SHARED, lines=lines), "loom")
    run = (pace.starts_per_week or 0) * (pace.operating_takt_s or 0)
    assert run == pytest.approx(5 * 27_000 * copies)
