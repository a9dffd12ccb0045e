"""The curve in words and as a table; the points are made up, so that each case is plain to see."""

from stationflow.files.exports.curve_tables import answer_words, curve_table, flat_words
from stationflow.model import CurvePoint, CycleCurve
from stationflow.units import TimeUnit


def bracketed(*points: tuple[int, float, float]) -> CycleCurve:
    """Return a curve of points with stations, bound and cycle."""
    return CycleCurve(
        line="main",
        points=tuple(CurvePoint(stations=n, lower_bound=low, cycle=c) for n, low, c in points),
        tasks=9,
        work_content=100,
        longest=30,
    )


OPEN = bracketed((1, 100, 100), (2, 50, 60), (3, 40, 45), (4, 30, 30))


def test_a_demand_that_fewer_stations_might_keep_is_not_called_proven():
    assert "Whether 2 can is not decided." in answer_words(OPEN, 55, TimeUnit.SECOND)


def test_a_demand_that_fewer_cannot_keep_is_called_proven():
    assert "Fewer cannot, that is proven." in answer_words(OPEN, 49, TimeUnit.SECOND)


def test_a_demand_below_the_longest_task_is_told():
    assert "the longest task takes 30.0 s" in answer_words(OPEN, 29, TimeUnit.SECOND)


def test_without_a_demand_no_point_is_marked():
    assert "no point is marked" in answer_words(OPEN, None, TimeUnit.SECOND)


def test_a_flat_end_that_may_begin_earlier_says_so():
    early = bracketed((1, 100, 100), (2, 30, 60), (3, 30, 30))
    assert flat_words(early, TimeUnit.SECOND).startswith("From 3 stations, perhaps from fewer, on")


def test_the_table_has_a_row_for_each_point_in_the_unit_shown():
    table = curve_table(OPEN, 55, TimeUnit.MINUTE)
    assert [row[1] for row in table.rows] == [100 / 60, 1.0, 0.75, 0.5]
    assert [row[3] for row in table.rows][:2] == ["proven", "between bound and plan"]
    assert [row[7] for row in table.rows] == [None, None, "fewest stations that keep it", None]
