"""Assignments broken by hand, each refused for the right reason."""

from dataclasses import replace

import pytest
from textbook_lines import SPREADER

from stationflow.balancing.verify import verify

GOOD = [["A"], ["C"], ["B", "F"], ["D", "G"], ["E", "H", "I"]]  # Krajewski


def codes(stations: list[list[str]], **limits: float) -> list[str]:
    return [finding.code for finding in verify(SPREADER, stations, **limits)]


def test_the_printed_plan_holds():
    assert codes(GOOD, limit=60, most_stations=5) == []


BROKEN = {
    "a task left out": ([*GOOD[:4], ["E", "H"]], "task-not-assigned"),
    "a task at two stations": ([*GOOD[:4], ["E", "H", "I", "B"]], "task-assigned-twice"),
    "a task twice at one station": ([["A", "A"], *GOOD[1:]], "task-assigned-twice"),
    "a task the line has not": ([["A", "X"], *GOOD[1:]], "unknown-task-in-plan"),
    "a predecessor at a later station": ([["C"], ["A"], *GOOD[2:]], "predecessor-later"),
    "a predecessor later at the station": ([*GOOD[:4], ["H", "E", "I"]], "predecessor-later"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_plan_is_refused_for_its_own_reason(name: str):
    stations, code = BROKEN[name]
    assert codes(stations) == [code]


def test_a_station_a_millisecond_over_the_limit_is_refused():
    assert codes(GOOD, limit=54.999) == ["station-over-limit", "station-over-limit"]


def test_a_station_exactly_at_the_limit_holds():
    assert codes(GOOD, limit=55) == []


def test_decimals_that_floats_cannot_hold_still_fit():
    # In floats 0.1 + 0.2 is more than 0.3.
    work = replace(SPREADER, times=(100, 200, 0, 0, 0, 0, 0, 0, 0))
    assert verify(work, [["A", "B", "C", "D", "E", "F", "G", "H", "I"]], limit=0.3) == ()


def test_more_stations_than_allowed_are_refused():
    assert codes(GOOD, most_stations=4) == ["too-many-stations"]
