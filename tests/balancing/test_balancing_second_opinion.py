"""What a second solver says of right answers, of forged ones, and of those it cannot settle."""

import ast
import inspect
import sys
from pathlib import Path
from types import ModuleType

import pytest
from published_lines import scholl_cases, scholl_lines
from small_plans import changed, station
from textbook_lines import BOOKS, JACKSON, SPREADER, WAGON

from stationflow.balancing.balance import balance
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.second import constraint_model, second_opinion
from stationflow.balancing.second.constraint_model import Verdict, ask_solver
from stationflow.balancing.second.second_opinion import confirm
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Confirmation, Ending


def asked(**settings: object) -> BalanceSettings:
    return BalanceSettings(method="exact", **settings)  # type: ignore[arg-type]


def opinion(work: LineWork, settings: BalanceSettings, **forged: object) -> Confirmation:
    """Balance a line, change the answer, and ask the second solver."""
    return confirm(work, changed(balance(work, settings), **forged), seconds=60)


def one_to_a_station(work: LineWork, settings: BalanceSettings, **forged: object) -> BalanceResult:
    """Return an answer whose plan has a station for each task, in listed order."""
    stations = tuple(
        station(n, (number,), time / 1000)
        for n, (number, time) in enumerate(zip(work.numbers, work.times, strict=True), 1)
    )
    return changed(balance(work, settings), stations=stations, **forged)


@pytest.mark.parametrize("book", BOOKS)
def test_the_fewest_stations_of_a_textbook_are_agreed_to(book: str):
    work, limit = BOOKS[book]
    assert opinion(work, asked(limit=limit)).agrees is True


@pytest.mark.parametrize("book", BOOKS)
def test_the_shortest_cycle_of_a_textbook_is_agreed_to(book: str):
    assert opinion(BOOKS[book][0], asked(stations=3)).agrees is True


@pytest.mark.parametrize("book", BOOKS)
def test_the_best_efficiency_of_a_textbook_is_agreed_to(book: str):
    assert opinion(BOOKS[book][0], asked(stations_from=2, stations=4)).agrees is True


# Spreader at 60 s: 244 s of work need five stations at least, and the book's plan has five.
def test_what_is_agreed_to_is_said():
    said = opinion(SPREADER, asked(limit=60)).said
    assert said == "CP-SAT 9.15 agrees: no plan has fewer than 5 stations."


def test_the_cycle_that_is_agreed_to_is_said():
    # 244 s in four stations are 61 s at least; by enumeration (see the tests of the textbook
    # lines) the shortest cycle is what the answer says.
    result = balance(SPREADER, asked(stations=4))
    cycle = result.cycle_time
    said = confirm(SPREADER, result).said
    assert said.endswith(f"no plan of 4 stations has a cycle time below {cycle:g} s.")


def test_what_is_impossible_is_agreed_to():
    said = opinion(SPREADER, asked(limit=60, stations=4))
    assert (said.agrees, said.said) == (
        True,
        "CP-SAT 9.15 agrees: 4 stations cannot do the work at 60 s.",
    )


def test_what_is_possible_is_agreed_to():
    assert opinion(SPREADER, asked(limit=60, stations=5)).agrees is True


def test_a_task_longer_than_the_limit_is_agreed_to():
    said = opinion(WAGON, asked(limit=49))  # task D takes 50
    assert said.agrees is True
    assert said.said == "CP-SAT 9.15 was not needed: counted anew, no number of stations can do it."


def test_a_plan_called_best_that_is_not_is_contradicted():
    forged = one_to_a_station(WAGON, asked(limit=50.4), ending=Ending.OPTIMAL, lower_bound=11.0)
    said = confirm(WAGON, forged)
    assert said.agrees is False
    assert said.said.startswith("CP-SAT 9.15 found a plan of ")
    assert said.said.endswith(" stations: please report this.")


def test_a_bound_that_is_too_high_is_contradicted():
    # Chase and Jacobs fill five stations at 50.4 s with the wagon; seven is forged.
    settings = asked(limit=50.4)
    forged = one_to_a_station(WAGON, settings, ending=Ending.FOUND, lower_bound=7.0)
    assert confirm(WAGON, forged).agrees is False


def test_a_bound_above_its_own_plan_is_contradicted():
    said = opinion(SPREADER, asked(limit=60), ending=Ending.FOUND, lower_bound=6.0)
    assert (said.agrees, "Its bound is 6, but its own plan has 5." in said.said) == (False, True)


def test_a_cycle_as_short_as_the_longest_task_is_agreed_to():
    # By hand: the longest of the eleven tasks takes 7, so eleven stations have a cycle of 7.
    settings = asked(stations=11)
    forged = one_to_a_station(JACKSON, settings, ending=Ending.OPTIMAL)
    assert confirm(JACKSON, forged).agrees is True


def test_a_cycle_called_shortest_that_is_not_is_contradicted():
    settings = asked(stations=2)
    everything = station(1, JACKSON.numbers, 0.046)
    said = opinion(JACKSON, settings, stations=(everything,), ending=Ending.OPTIMAL)
    assert (said.agrees, "a plan of 2 stations with a cycle time of" in said.said) == (False, True)


def test_an_efficiency_called_best_that_is_not_is_contradicted():
    settings = asked(stations_from=2, stations=11)
    forged = one_to_a_station(JACKSON, settings, ending=Ending.OPTIMAL, lower_bound=77.0)
    said = confirm(JACKSON, forged)  # 11 x 7 = 77, but 46 units of work fit into two x 23
    assert (said.agrees, "with a cycle time of" in said.said) == (False, True)


def test_something_called_impossible_that_is_not_is_contradicted():
    settings = asked(limit=50.4, stations=5)
    said = opinion(WAGON, settings, ending=Ending.IMPOSSIBLE, stations=(), lower_bound=6.0)
    assert said.agrees is False


def test_a_plan_that_does_not_hold_is_contradicted():
    settings = asked(limit=50.4)
    turned = tuple(reversed(balance(WAGON, settings).stations))
    assert opinion(WAGON, settings, stations=turned).agrees is False


def test_a_better_plan_than_one_not_called_best_contradicts_nothing():
    settings = asked(limit=50.4)
    found = one_to_a_station(WAGON, settings, ending=Ending.FOUND, lower_bound=4.0)
    said = confirm(WAGON, found)
    assert said.agrees is True
    assert "no plan has fewer than 4 stations. It found a plan of " in said.said
    assert said.said.endswith("which is better.")


def test_a_proof_that_the_answer_lacked_is_said():
    said = opinion(SPREADER, asked(limit=60), ending=Ending.FOUND, lower_bound=3.0)
    assert said.said == "CP-SAT 9.15 agrees, and proves more: no plan has fewer than 5 stations."


def test_a_plan_where_none_was_found_contradicts_nothing():
    settings = asked(limit=50.4, stations=6)
    said = opinion(WAGON, settings, ending=Ending.NOTHING_FOUND, stations=(), lower_bound=4.0)
    assert (said.agrees, "It found a plan of" in said.said) == (True, True)


# By hand: two tasks fit into a station of 66 s, so 17 need nine; their sum, 518 s, would fit
# into eight (528 s), and no task is longer than half of 66 s. Only search refutes eight.
PAIRS = LineWork(
    line="main",
    numbers=tuple(str(n) for n in range(17)),
    times=(30_000,) * 9 + (31_000,) * 8,
    predecessors=((),) * 17,
)


def test_without_time_it_could_not_tell():
    settings = asked(limit=66)
    result = balance(PAIRS, settings)
    said = confirm(PAIRS, result, seconds=0.001)
    assert (said.agrees, said.said) == (None, "CP-SAT 9.15 could not tell within 0.001 s.")


class Impatient(Progress):
    """Stops everything."""

    def should_stop(self) -> bool:
        return True


def test_when_stopped_it_says_so():
    settings = asked(limit=66)
    said = confirm(PAIRS, balance(PAIRS, settings), progress=Impatient())
    assert (said.agrees, said.said) == (None, "CP-SAT 9.15 was stopped before it could tell.")


def test_the_model_of_a_huge_line_is_too_large():
    size = 2_000  # each task at any of 400 stations: 800 000 choices
    work = LineWork(
        line="main",
        numbers=tuple(map(str, range(size))),
        times=tuple(1_000 + n % 7 for n in range(size)),
        predecessors=((),) * size,
    )
    reply = ask_solver(balance_problem(work, 6), 400, 6_000, seconds=1_000)
    assert reply.verdict == Verdict.TOO_LARGE


@pytest.mark.parametrize("module", [constraint_model, second_opinion])
def test_it_shares_no_code_with_the_methods_and_their_bounds(module: ModuleType):
    imported = {
        node.module or ""
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.ImportFrom)
    }
    shared = ("bounds", "exact", "goals", "methods", "arrows")
    assert not {name for name in imported if set(name.split(".")) & set(shared)}


def test_data_errors_cannot_be_confirmed():
    empty = LineWork(line="main", numbers=(), times=(), predecessors=())
    with pytest.raises(ValueError, match="nothing was tried"):
        opinion(empty, asked(limit=10))


def test_the_solver_is_named():
    assert opinion(WAGON, asked(limit=50.4)).engine.startswith("ortools 9.")


def test_what_counting_refutes_is_put_to_the_solver_all_the_same():
    # 244 s of work do not fit into four stations of 60 s.
    reply = ask_solver(balance_problem(SPREADER, 60), 4, 60, seconds=60)
    assert (reply.verdict, reply.is_counted) == (Verdict.IMPOSSIBLE, False)


def test_what_counting_refutes_needs_no_time():
    settings = asked(limit=60)
    said = confirm(SPREADER, balance(SPREADER, settings), seconds=0.0001)
    assert (said.agrees, said.said) == (
        True,
        "CP-SAT 9.15 was not needed: counted anew, no plan has fewer than 5 stations.",
    )


def test_a_task_without_a_station_left_is_put_to_the_solver_all_the_same():
    # By hand: 4, 3, 5 in a row at 6 need a station each, though 12 units would fit into two.
    chain = LineWork(
        line="main",
        numbers=("a", "b", "c"),
        times=(4, 3, 5),
        predecessors=((), (0,), (1,)),
        ticks=1,
    )
    reply = ask_solver(balance_problem(chain, 6), 2, 6, seconds=60)
    assert (reply.verdict, reply.is_counted) == (Verdict.IMPOSSIBLE, False)


def test_what_no_arithmetic_refutes_is_refuted_by_search():
    problem = balance_problem(PAIRS, 66)
    assert ask_solver(problem, 8, 66, seconds=60).verdict == Verdict.IMPOSSIBLE
    assert ask_solver(problem, 9, 66, seconds=60).verdict == Verdict.POSSIBLE


def test_the_first_load_of_the_solver_takes_none_of_its_time(monkeypatch: pytest.MonkeyPatch):
    from ortools.sat.python import cp_model

    clock = [0.0]

    class SlowPackage(ModuleType):
        def __getattr__(self, name: str) -> ModuleType:
            clock[0] += 100
            return cp_model

    monkeypatch.setitem(sys.modules, "ortools.sat.python", SlowPackage("ortools.sat.python"))
    monkeypatch.setattr(constraint_model, "monotonic", lambda: clock[0])
    problem = balance_problem(SPREADER, 60)
    assert ask_solver(problem, 5, 60, seconds=50).verdict == Verdict.POSSIBLE


@pytest.mark.instances
def test_published_optima_are_agreed_to(instances: Path):
    lines = scholl_lines(instances)
    cases = [case for case in scholl_cases(instances) if len(lines[case[0]].times) <= 35]
    assert len(cases) > 50
    for graph, limit, stations in cases:
        result = balance(lines[graph], asked(limit=limit))
        assert (len(result.stations), result.ending) == (stations, Ending.OPTIMAL)
        assert confirm(lines[graph], result).agrees is True, (graph, limit)
