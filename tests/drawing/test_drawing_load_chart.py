"""Load chart: rows, sums, chart and SVG. Values are worked out by hand."""

import json
from xml.etree import ElementTree

import altair as alt
import pytest
from small_plans import answer, station

from stationflow.balancing.load_rows import Row, load_chart_rows, station_sums, summary
from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.load_chart import load_chart
from stationflow.drawing.charts.load_labels import (
    StationWords,
    axis_top,
    limit_place,
    station_words,
)
from stationflow.drawing.limit_tips import LimitTips
from stationflow.drawing.palette import ON_DARK, ON_PAPER, Inks
from stationflow.drawing.text_size import shortened, text_width, wrapped
from stationflow.units import TimeUnit

# Station 1 takes 0.3 s of a limit of 0.3 s; station 2 takes 0.4 s; station 3 has no task.
RESULT = answer(
    station(1, ("20", "10"), 0.3),
    station(2, ("30", "<40>"), 0.4),
    station(3, ()),
    limit=0.3,
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


def file(
    rows: list[Row], limit: float | None, unit: TimeUnit | str = TimeUnit.SECOND, title: str = ""
) -> set[str]:
    """Return the words in a load chart as a file: those drawn, and those said of its bars."""
    svg = chart_file(load_chart(rows, limit, unit, title=title), "svg")
    elements = list(ElementTree.fromstring(svg).iter())
    return {e.text for e in elements if e.text} | {e.get("aria-label", "") for e in elements}


def test_the_file_is_well_formed_whatever_the_text():
    words = file(rows(), 0.3, title="<a> & \x01")
    assert {"<a> &", 'Station 2, task <40> Fit "A" & B, 0.2 s, over the limit'} <= words


def test_the_file_labels_the_limit_in_the_unit_shown():
    assert "limit 0.5 1/100 min" in file(rows(), 0.3, TimeUnit.CENTIMINUTE)


def test_the_file_names_the_idle_time():
    assert "Station 3, idle 0.3 s" in file(rows(), 0.3)


@pytest.mark.parametrize("limit", [None, 0.3])
def test_a_plan_without_tasks_is_drawn(limit: float | None):
    assert "No work is assigned." in file([], limit, title="Lamp")


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_the_file_is_drawn_as_a_picture_too(kind):
    start = {"png": b"\x89PNG", "pdf": b"%PDF"}[kind]
    assert chart_file(load_chart(rows(), 0.3), kind).startswith(start)


# The schema of Vega-Lite as the altair package carries it.
@pytest.mark.parametrize("limit", [None, 0.3])
@pytest.mark.parametrize("inks", [ON_PAPER, ON_DARK], ids=["paper", "dark"])
def test_the_chart_keeps_to_the_published_schema(limit: float | None, inks: Inks):
    alt.LayerChart.from_dict(load_chart(rows(), limit, inks=inks), validate=True)


def test_every_task_is_in_the_chart():
    layers = load_chart(rows(), 0.3)["layer"]
    tasks = {row.get("task") for layer in layers for row in layer["data"]["values"]}
    assert {"10", "20", "30", "<40>"} <= tasks


def test_the_chart_labels_the_limit():
    assert "limit 0.3 s" in json.dumps(load_chart(rows(), 0.3))


def test_the_chart_keeps_times_of_instances_as_they_are():
    assert 'limit 0.3"' in json.dumps(load_chart(rows(), 0.3, "unit"))


def test_a_chart_without_a_limit_has_no_limit_line():
    assert "limit 0" not in json.dumps(load_chart(rows(), None))


def test_a_shortened_text_fits_its_width():
    assert text_width(shortened("Screw the power supply board", 60, 10), 10) <= 60


def test_every_line_of_a_wrapped_text_fits_its_width():
    lines = wrapped("Screw the power supply board to the housing", 80, 10, 2)
    assert all(text_width(line, 10) <= 80 for line in lines)


def many(stations: int, load: float = 70.0) -> list[Row]:
    found = [station(n, (f"{n}",), load) for n in range(1, stations + 1)]
    result = answer(*found, limit=80.0)
    return load_chart_rows(result, {f"{n}": load for n in range(1, stations + 1)})


@pytest.mark.parametrize("stations", [1, 4, 21, 45, 60])
def test_a_chart_is_as_wide_as_its_container(stations: int):
    assert load_chart(many(stations), 80.0)["width"] == "container"


def test_a_chart_of_very_many_stations_has_a_width_of_its_own():
    assert load_chart(many(76), 80.0)["width"] == {"step": 16}


def test_few_stations_keep_slim_bars():
    # 840 pixels for two stations are more than 390 each; a bar of 150 leaves over three fifths.
    scale = load_chart(many(2), 80.0)["layer"][0]["encoding"]["x"]["scale"]
    assert scale["paddingInner"] > 0.6


def words(stations: int, step: float, load: float = 70.0) -> list[tuple[str, ...]]:
    sums = station_sums(many(stations, load), 80.0)
    return [w.rows for w in station_words(sums, 80.0, TimeUnit.SECOND, step)]


def test_the_load_stands_above_each_bar():
    assert words(3, 90)[1][0] == "70.0"


def turned_loads(stations: int) -> list[dict]:
    """Return the marks of the loads that a page's chart turns upright."""
    marks = [layer["mark"] for layer in load_chart(many(stations), 80.0)["layer"]]
    return [mark for mark in marks if mark.get("angle")]


def test_the_loads_of_thirty_stations_are_turned_so_that_none_overlaps_the_next():
    # 840 / 30.14 = 28 pixels for "70.0", which is about 24 wide: upright; at 36 they are not.
    assert [len(turned_loads(n)) for n in (30, 36)] == [0, 1]


def test_turned_loads_have_their_height_above_the_bars():
    sums = station_sums(many(40), 80.0)
    (tall,) = {w.tall for w in station_words(sums, 80.0, TimeUnit.SECOND, 21)}
    assert tall >= text_width("70.0", 11)


def test_the_load_is_left_out_where_not_even_its_height_fits():
    assert words(3, 10) == [("\N{BLACK DOWN-POINTING TRIANGLE}",)] * 3


def inside(stations: int) -> list[str]:
    """Return the words inside the bars of a line whose every station has one task."""
    tasks = {f"{n}": 70.0 for n in range(1, stations + 1)}
    result = answer(*(station(int(n), (n,), 70.0) for n in tasks), limit=80.0)
    chart = load_chart(
        load_chart_rows(result, tasks, dict.fromkeys(tasks, "Fit the motor to the rear housing")),
        80.0,
    )
    held = [
        layer for layer in chart["layer"] if layer["encoding"].get("text") == {"field": "label"}
    ]
    return [row["label"] for row in held[0]["data"]["values"]]


def test_the_bars_of_a_short_line_name_their_tasks():
    assert inside(4)[0].startswith("1 Fit the motor")


def test_a_name_in_a_bar_is_cut_to_its_width():
    assert all(text_width(label, 10) <= 150 for label in inside(4))


def test_the_narrow_bars_of_a_long_line_hold_numbers_alone():
    assert inside(20) == [f"{n}" for n in range(1, 21)]


def test_a_task_that_is_pointed_at_says_its_name():
    said = [layer["encoding"].get("tooltip") or [] for layer in load_chart(rows(), 0.3)["layer"]]
    assert any({"field": "name", "title": "Name"} in each for each in said)


def test_how_far_a_station_is_over_the_limit_stands_above_its_load():
    assert words(1, 90, 83.5)[0][:2] == ("83.5", "+3.5")


def test_no_word_above_a_bar_stands_on_the_limit_line():
    sums = station_sums(many(3), 80.0)
    assert {w.at for w in station_words(sums, 80.0, TimeUnit.SECOND, 90)} == {80.0}


def test_the_label_of_the_limit_gives_way_to_a_station_over_the_limit():
    over = StationWords(number=9, at=90.0, rows=("90.0", "+10.0"))
    plain = [StationWords(number=n, at=80.0, rows=("70.0",)) for n in range(1, 9)]
    assert limit_place([*plain, over], 80.0, "limit 80.0 s", 40)[0] == "left"


def test_the_axis_has_room_for_the_words_above_the_longest_bar():
    # Two rows of 14 pixels and 10 of space are 38 of 380 pixels: the bar ends at 90 %.
    rows_above = [StationWords(number=1, at=90.0, rows=("90.0", "+10.0"))]
    assert axis_top(rows_above, 90.0, 0, 380) == pytest.approx(100.0)


def test_a_task_over_the_limit_is_told_apart_without_colour():
    layers = load_chart(rows(), 0.3)["layer"]
    thick = [layer for layer in layers if layer["mark"].get("strokeWidth") == 3]
    assert [row["station"] for row in thick[0]["data"]["values"]] == [2]


def tooltip(chart, at: int) -> dict[str, str]:
    """Return what the first bar of a layer says when it is pointed at, by title."""
    layer = chart["layer"][at]
    row = layer["data"]["values"][0]
    return {f["title"]: row[f["field"]] for f in layer["encoding"]["tooltip"]}


def bars(chart) -> int:
    """Return the place of the layer with the tasks."""
    return next(at for at, layer in enumerate(chart["layer"]) if layer.get("params"))


def test_a_bar_says_the_limits_of_its_task_and_station():
    chart = load_chart(rows(), 0.3, tips=LimitTips({"20": "guarded"}, {1: "zone wet"}))
    said = tooltip(chart, bars(chart))
    assert (said["Limits of the task"], said["Station has"]) == ("guarded", "zone wet")


def test_where_no_limits_are_entered_a_bar_speaks_of_none():
    chart = load_chart(rows(), 0.3)
    assert not {"Limits of the task", "Station has"} & set(tooltip(chart, bars(chart)))
