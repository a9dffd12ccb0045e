"""Load chart: rows, sums, chart and SVG. Values are worked out by hand."""

from xml.etree import ElementTree

import pytest

from stationflow.drawing.load_chart import load_chart, load_chart_rows, load_chart_svg
from stationflow.drawing.load_rows import Row, bar_step, station_sums, summary
from stationflow.drawing.text_size import shortened, text_width, wrapped
from stationflow.model import BalanceResult, Ending, Goal, StationLoad
from stationflow.units import TimeUnit

# Station 1 takes 0.3 s of a limit of 0.3 s; station 2 takes 0.4 s; station 3 has no task.
RESULT = BalanceResult(
    line="main",
    goal=Goal.FEWEST_STATIONS,
    ending=Ending.FOUND,
    method="x",
    takt=0.3,
    stations=(
        StationLoad(number=1, tasks=("20", "10"), work=0.3),
        StationLoad(number=2, tasks=("30", "<40>"), work=0.4),
        StationLoad(number=3, tasks=(), work=0.0),
    ),
)
TIMES = {"10": 0.2, "20": 0.1, "30": 0.25, "<40>": 0.15}
NAMES = {"<40>": 'Fit "A" & B\x00'}


def rows() -> list[Row]:
    return load_chart_rows(RESULT, TIMES, NAMES)


def test_tasks_are_stacked_in_the_order_of_work():
    assert [(r["task"], r["start"], r["end"]) for r in rows()[:2]] == [
        ("20", 0.0, 0.1),
        ("10", 0.1, 0.3),
    ]


def test_a_station_exactly_at_the_limit_is_not_over_it():
    assert not rows()[1]["over"]  # 0.1 + 0.2 is 0.3 here, not a bit more


def test_the_task_that_ends_after_the_limit_is_over_it():
    assert [r["task"] for r in rows() if r["over"]] == ["<40>"]


def test_a_station_without_tasks_keeps_its_place():
    assert [s.number for s in station_sums(rows(), 0.3)] == [1, 2, 3]


def test_an_untimed_task_takes_no_time():
    assert load_chart_rows(RESULT, {**TIMES, "10": None})[1]["end"] == 0.1


def test_idle_and_over_are_taken_from_the_limit():
    assert [(s.idle, s.over) for s in station_sums(rows(), 0.3)] == [(0, 0), (0, 0.1), (0.3, 0)]


def test_without_a_limit_idle_is_taken_from_the_longest_station():
    assert [s.idle for s in station_sums(rows(), None)] == [0.1, 0, 0.4]


def test_the_longest_station_is_the_bottleneck():
    assert [s.is_bottleneck for s in station_sums(rows(), 0.3)] == [False, True, False]


def test_the_summary_names_the_longest_station_and_what_is_over():
    words = summary(station_sums(rows(), 0.3), 0.3, TimeUnit.SECOND)
    assert words == "Longest station: S2 with 0.4 s. Over the limit: S2."


@pytest.mark.parametrize("stations", [5, 20, 60])
def test_a_chart_of_many_stations_fits_a_page(stations: int):
    assert stations * bar_step(stations) <= 1080


def test_the_svg_is_well_formed_whatever_the_text():
    text = "".join(
        ElementTree.fromstring(load_chart_svg(rows(), 0.3, title="<a> & \x01")).itertext()
    )
    assert 'task <40> Fit "A" & B' in text


def test_the_svg_says_over_the_limit_in_words():
    assert "over the limit" in load_chart_svg(rows(), 0.3)


def test_the_svg_labels_the_limit_in_the_unit_shown():
    assert "limit 0.5 1/100 min" in load_chart_svg(rows(), 0.3, TimeUnit.CENTIMINUTE)


def test_the_svg_names_the_idle_time():
    assert "Station 3, idle 0.3 s" in load_chart_svg(rows(), 0.3)


@pytest.mark.parametrize("limit", [None, 0.3])
def test_a_plan_without_tasks_is_drawn(limit: float | None):
    assert "No work is assigned." in load_chart_svg([], limit)


def test_every_task_is_in_the_chart():
    layers = load_chart(rows(), 0.3).to_dict()["layer"]
    tasks = {row.get("task") for layer in layers for row in layer["data"]["values"]}
    assert {"10", "20", "30", "<40>"} <= tasks


def test_the_chart_labels_the_limit():
    assert "limit 0.3 s" in load_chart(rows(), 0.3).to_json()


def test_the_chart_keeps_times_of_instances_as_they_are():
    assert 'limit 0.3"' in load_chart(rows(), 0.3, "unit").to_json()


def test_a_chart_without_a_limit_has_no_limit_line():
    assert "limit 0" not in load_chart(rows(), None).to_json()


def test_a_shortened_text_fits_its_width():
    assert text_width(shortened("Screw the power supply board", 60, 10), 10) <= 60


def test_every_line_of_a_wrapped_text_fits_its_width():
    lines = wrapped("Screw the power supply board to the housing", 80, 10, 2)
    assert all(text_width(line, 10) <= 80 for line in lines)
