"""Plans printed in textbooks, and optima that were proved for them elsewhere."""

import pytest
from textbook_lines import (
    BOOKS,
    ELEVEN,
    SEVEN,
    SPREADER,
    TEN,
    TWELVE,
    WAGON,
    all_plans,
    fewest_by_trying,
    tasks_of,
)

from stationflow.balancing.balance import balance
from stationflow.balancing.methods.rules import positional_weights
from stationflow.balancing.metrics import balance_efficiency
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Direction, Ending

RULES = ("ranked-positional-weight", "largest-candidate", "kilbridge-wester", "most-followers")


def forwards(work: LineWork, method: str, limit: float) -> BalanceResult:
    """Balance as books do: from the start of the line."""
    return balance(work, BalanceSettings(method=method, limit=limit, direction=Direction.FORWARDS))


def test_most_followers_gives_the_printed_wagon_line():
    # Chase and Jacobs: A | D | B,E,C,F | G,H,I,J | K.
    result = forwards(WAGON, "most-followers", 50.4)
    assert tasks_of(result.stations) == ["A", "D", "B,E,C,F", "G,H,I,J", "K"]


def test_the_printed_wagon_line_is_77_percent_efficient():
    # Chase and Jacobs print 77 %.
    loads = forwards(WAGON, "most-followers", 50.4).loads
    assert balance_efficiency(loads, 50.4) == pytest.approx(0.77, abs=0.005)


def test_longest_time_first_finds_the_wagon_line_of_four_stations():
    # Worked out by hand from the printed rule.
    result = forwards(WAGON, "largest-candidate", 50.4)
    assert tasks_of(result.stations) == ["D", "A", "E,H,I,B", "C,F,G,J,K"]


@pytest.mark.parametrize("method", [*RULES, "exact"])
def test_every_method_needs_five_stations_for_the_spreader(method: str):
    # Krajewski: five stations, 81.3 %.
    assert len(balance(SPREADER, BalanceSettings(method=method, limit=60)).stations) == 5


def test_ranked_positional_weight_gives_the_printed_solved_problem():
    # Krajewski, solved problem 2: loads 145, 140, 145, 145, 145.
    loads = forwards(TEN, "ranked-positional-weight", 150).loads
    assert loads == (145, 140, 145, 145, 145)


def test_longest_time_first_gives_the_printed_eleven_element_line():
    # Krajewski: H,C,A | B,D,G | E,F | I,J,K.
    result = forwards(ELEVEN, "largest-candidate", 120)
    assert tasks_of(result.stations) == ["H,C,A", "B,D,G", "E,F", "I,J,K"]


@pytest.mark.parametrize("method", [r for r in RULES if r != "largest-candidate"])
def test_the_other_rules_need_five_stations_there(method: str):
    # Recomputed for the reference tables, not printed.
    assert len(forwards(ELEVEN, method, 120).stations) == 5


def test_ranked_positional_weight_misses_the_best_line_of_seven_elements():
    # Recomputed for the reference tables, not printed.
    assert len(forwards(SEVEN, "ranked-positional-weight", 120).stations) == 4


def test_largest_candidate_gives_the_printed_twelve_element_line():
    # Groover: 2,5,1,4 | 3,6 | 8,10 | 7,9 | 11,12 (from memory).
    result = forwards(TWELVE, "largest-candidate", 1.0)
    assert tasks_of(result.stations) == ["2,5,1,4", "3,6", "8,10", "7,9", "11,12"]


def test_kilbridge_wester_gives_the_printed_loads():
    # Groover: 1.00 .81 .92 .65 .62 (from memory).
    loads = forwards(TWELVE, "kilbridge-wester", 1.0).loads
    assert loads == (1.0, 0.81, 0.92, 0.65, 0.62)


def test_ranked_positional_weight_gives_the_printed_loads():
    # Groover: .90 .91 .92 .65 .62 (from memory).
    loads = forwards(TWELVE, "ranked-positional-weight", 1.0).loads
    assert loads == (0.9, 0.91, 0.92, 0.65, 0.62)


def test_positional_weights_are_the_printed_ones():
    # Groover: 3.30 2.67 3.00 1.97 1.30 1.00 1.21 1.87 .89 1.00 .62 .12 in the order of
    # tasks 1 to 12 (from memory); one whole unit is 10 ms.
    expected = (330, 267, 300, 197, 130, 100, 121, 187, 89, 100, 62, 12)
    assert positional_weights(balance_problem(TWELVE)) == expected


def test_positional_weights_of_the_spreader():
    # Krajewski's data, weights worked out by hand.
    scale = balance_problem(SPREADER).scale
    weights = [w * scale // 1000 for w in positional_weights(balance_problem(SPREADER))]
    assert weights == [244, 96, 108, 60, 26, 43, 33, 20, 18]


# Proved by a constraint solver for the reference tables.
OPTIMA = {"wagon": 4, "spreader": 5, "ten": 5, "eleven": 4, "seven": 3, "twelve": 5, "jackson": 5}


@pytest.mark.parametrize("name", OPTIMA)
def test_exact_proves_the_known_optimum(name: str):
    work, limit = BOOKS[name]
    result = balance(work, BalanceSettings(limit=limit))
    assert (len(result.stations), result.ending) == (OPTIMA[name], Ending.OPTIMAL)


@pytest.mark.parametrize("name", OPTIMA)
def test_trying_everything_agrees_with_the_known_optimum(name: str):
    work, limit = BOOKS[name]
    assert fewest_by_trying(work, limit) == OPTIMA[name]


SHORTEST = [
    (WAGON, 3, 65), (WAGON, 4, 50), (WAGON, 5, 50),
    (SPREADER, 4, 70), (SPREADER, 5, 55), (SPREADER, 6, 50),
    (TWELVE, 4, 1.02), (TWELVE, 5, 0.90), (TWELVE, 6, 0.70),
]  # fmt: skip


@pytest.mark.parametrize(("work", "stations", "cycle"), SHORTEST)
def test_exact_proves_the_known_shortest_cycle(work: LineWork, stations: int, cycle: float):
    # Proved by a constraint solver for the reference tables.
    result = balance(work, BalanceSettings(stations=stations))
    assert (result.proof.lower_bound, result.cycle_time) == (cycle, cycle)


def test_the_spreader_has_sixteen_plans_of_five_stations():
    # Counted for the reference tables with another program.
    assert sum(1 for _ in all_plans(SPREADER, 60, 5)) == 16


def test_the_twelve_element_line_has_369_plans_of_five_stations():
    # Counted for the reference tables with another program.
    assert sum(1 for _ in all_plans(TWELVE, 1.0, 5)) == 369
