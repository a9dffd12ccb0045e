"""Charts of the simulation: shares that add up, and the line over time."""

import pytest

from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.flow_chart import line_over_time, shares_chart, spans_of
from stationflow.line.simulation.simulated import StationShares, TraceEvent

SHARES = (
    StationShares(
        line="main", number=1, worked=0.7, blocked=0.2, starved=0.06, stopped=0.04, of_step=0.15
    ),
    StationShares(line="main", number=2, worked=0.9, blocked=0.0, starved=0.09, stopped=0.01),
)


def event(at_s: float, what: str, unit: int = 1, station: int = 1) -> TraceEvent:
    return TraceEvent(at_s=at_s, line="main", station=station, unit=unit, what=what)


TRACE = (
    event(0, "enters"),
    event(0, "starts"),
    event(30, "stops", 0),
    event(50, "runs", 0),
    event(80, "ends"),
    event(80, "waits"),
    event(90, "leaves"),
    event(90, "starts", station=2),
    event(100, "starts", 2),
)


def test_the_parts_of_a_bar_follow_each_other_to_one():
    rows = shares_chart(SHARES)["data"]["values"]
    assert [row["end"] for row in rows[3::4]] == pytest.approx([1.0, 1.0])
    assert [row["start"] for row in rows[1:4]] == [row["end"] for row in rows[:3]]


def test_a_wide_part_holds_its_word_and_a_narrow_one_its_letter():
    rows = shares_chart(SHARES)["data"]["values"]
    assert [row["words"] for row in rows[:4]] == ["worked 70 %", "blocked 20 %", "s", "x"]


def test_pointing_at_a_part_says_what_it_comes_from():
    rows = shares_chart(SHARES)["data"]["values"]
    assert rows[1]["of"] == "waiting for the common step 15.0 %"


def test_what_a_station_does_lasts_from_one_event_to_the_next():
    found = [
        (span.state, span.start_s, span.end_s) for span in spans_of(TRACE) if span.label == "main 1"
    ]
    assert found == [
        ("works", 0, 30), ("stopped", 30, 50), ("works", 50, 80), ("waits", 80, 90)
    ]  # fmt: skip


def test_only_what_lies_between_the_two_moments_is_drawn():
    rows = line_over_time(TRACE, 60, 85)["data"]["values"]
    assert [(row["state"], row["start"], row["end"]) for row in rows] == [
        ("works", 60, 80), ("waits", 80, 85)
    ]  # fmt: skip


@pytest.mark.parametrize("spec", [shares_chart(SHARES), line_over_time(TRACE, 0, 100)])
def test_it_is_a_chart_that_can_be_drawn(spec):
    assert b"main 1" in chart_file(spec, "svg")
