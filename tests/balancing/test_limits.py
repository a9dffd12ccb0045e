"""Limits of tasks: each kind by itself, worked out by hand."""

from dataclasses import replace
from unittest.mock import patch

import pytest
from limited_lines import limited, line
from textbook_lines import JACKSON, SPREADER, TWELVE, WAGON

from stationflow.balancing.balance import balance
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import Form, mirrored, refusal, station_set
from stationflow.balancing.limits.not_kept import kept_limits, not_kept_by_any, not_kept_by_method
from stationflow.balancing.limits_findings import forms_kept
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.comsoal import Trials
from stationflow.balancing.methods.comsoal_kernel import plain_kernel
from stationflow.balancing.methods.method import Watch
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.second.second_opinion import confirm
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Ending,
    Side,
    StationSetting,
    TaskLimits,
)

RULE = "largest-candidate"
# Three tasks of 4 in a row: at a limit of 8, two stations, T0 T1 | T2 or T0 | T1 T2.
CHAIN = line((4, 4, 4), (0, 1), (1, 2))
LOOSE = line((4, 4, 4))
GROUPS_ONLY = {"exact": replace(METHODS["exact"], keeps=frozenset({Form.GROUPS}))}


def plan(work: LineWork, method: str = RULE, **asked: float) -> BalanceResult:
    asked = asked or {"limit": 8}
    return balance(work, BalanceSettings(method=method, **asked))  # type: ignore[arg-type]


def stations(work: LineWork, method: str = RULE, **asked: float) -> list[str]:
    return [" ".join(s.tasks) for s in plan(work, method, **asked).stations]


@pytest.mark.parametrize("method", METHODS)
def test_a_task_fixed_at_station_4_makes_a_line_of_four_with_an_empty_station(method: str):
    # T0 and T1 fill a station or two; T2 waits for station 4, and one at least is empty.
    result = plan(limited(CHAIN, T2=TaskLimits(station=4)), method)
    assert (len(result.stations), result.stations[3].tasks) == (4, ("T2",))
    assert () in [station.tasks for station in result.stations]
    assert (result.proof.lower_bound, result.ending) == (4, Ending.OPTIMAL)


def test_an_earliest_station_is_waited_for():
    assert stations(limited(CHAIN, T1=TaskLimits(earliest_station=2))) == ["T0", "T1 T2"]


def test_a_latest_station_is_not_missed_by_a_task_of_low_priority():
    # By size T1 and T2 would fill station 1; T0, last by size, must be there.
    work = limited(line((1, 4, 4)), T0=TaskLimits(latest_station=1))
    assert "T0" in stations(work)[0]


def test_what_must_come_before_a_task_at_its_last_station_goes_first_too():
    # T3 waits for T2: both must be at station 1, though T0 and T1 are longer.
    work = limited(line((5, 5, 1, 2), (2, 3)), T3=TaskLimits(latest_station=1))
    assert stations(work)[0] == "T2 T3 T0"


@pytest.mark.parametrize("direction", ["forwards", "backwards"])
def test_station_numbers_count_from_the_beginning_in_both_directions(direction: str):
    work = limited(LOOSE, T0=TaskLimits(station=2), T1=TaskLimits(station=1))
    result = plan(work, limit=4, direction=direction)
    assert [s.tasks for s in result.stations] == [("T1",), ("T0",), ("T2",)]


def test_room_is_kept_for_tasks_that_their_last_station_will_need():
    # T2 and T3 fill station 2 alone but T4 must be there by then too: it goes first, though
    # T0 is longer and would fill station 1.
    limits = {number: TaskLimits(station=2) for number in ("T2", "T3")}
    work = limited(line((5, 3, 4, 4, 3)), **limits, T4=TaskLimits(latest_station=2))
    assert stations(work) == ["T4 T0", "T2 T3", "T1"]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_compiled_trials_keep_limits_as_the_plain_ones_do(seed: int):
    import numpy as np

    limits = {"T0": TaskLimits(station=2), "T1": TaskLimits(apart=("T2", "T3"), latest_station=3)}
    problem = balance_problem(limited(line((3, 4, 2, 5, 1, 6), (0, 3), (4, 5)), **limits), 9)
    plans = [
        Trials(problem, np.random.default_rng(seed), 20, Watch(), kernel).better(9, 9)
        for kernel in (None, plain_kernel(0, limited=True))
    ]
    assert plans[0] == plans[1] is not None


def test_tasks_kept_together_take_along_what_lies_between():
    work = limited(CHAIN, T0=TaskLimits(together="a"), T2=TaskLimits(together="a"))
    assert stations(work, limit=12) == ["T0 T1 T2"]
    assert contracted(balance_problem(work, 12)).members == ((0, 1, 2),)


def test_groups_that_wait_for_each_other_are_one():
    # T0 and T3 are together, T1 and T2 are: T0 before T1, T2 before T3.
    groups = {f"T{at}": TaskLimits(together="a" if at in (0, 3) else "b") for at in range(4)}
    work = limited(line((1, 1, 1, 1), (0, 1), (2, 3)), **groups)
    assert contracted(balance_problem(work, 9)).members == ((0, 1, 2, 3),)


def test_exact_keeps_groups_and_proves_them():
    # Without the group T0 T1 | T2 T3; together T0 and T3 leave T1 and T2 to share a station.
    work = limited(
        line((5, 3, 4, 4)), T0=TaskLimits(together="a"), T2=TaskLimits(together="a")
    )  # 5 + 4 is 9: at a limit of 9 the others fit into one station
    result = plan(work, "exact", limit=9)
    assert result.ending == Ending.OPTIMAL
    assert ("T0", "T2") in [station.tasks for station in result.stations]


def test_tasks_kept_apart_never_share_a_station():
    assert stations(limited(line((1, 1)), T0=TaskLimits(apart=("T1",)))) == ["T0", "T1"]


def test_two_zones_never_share_a_station_and_a_task_without_one_goes_anywhere():
    work = limited(line((3, 2, 1)), T0=TaskLimits(zone="wet"), T1=TaskLimits(zone="dry"))
    assert stations(work) == ["T0 T2", "T1"]


def test_where_stations_state_the_zone_the_task_goes_there():
    work = limited(line((3, 2, 1)), StationSetting(number=2, zone="wet"), T0=TaskLimits(zone="wet"))
    assert stations(work) == ["T1 T2", "T0"]


def test_a_zone_that_no_station_states_keeps_off_stations_that_state_another():
    work = limited(line((3, 2)), StationSetting(number=1, zone="wet"), T0=TaskLimits(zone="dry"))
    assert stations(work) == ["T1", "T0"]


def test_a_task_goes_to_a_station_that_has_its_equipment():
    work = limited(
        line((3, 2)), StationSetting(number=2, equipment=("press",)),
        T0=TaskLimits(equipment=("press",)),
    )  # fmt: skip
    assert stations(work) == ["T1", "T0"]


def test_a_task_goes_where_all_of_its_equipment_is():
    # Station 1 has the press alone, station 2 press and oven.
    work = limited(
        line((3, 2)), StationSetting(number=1, equipment=("press",)),
        StationSetting(number=2, equipment=("press", "oven")),
        T0=TaskLimits(equipment=("press", "oven")),
    )  # fmt: skip
    assert stations(work) == ["T1", "T0"]


def test_equipment_that_no_station_states_is_no_limit():
    assert stations(limited(line((3, 2)), T0=TaskLimits(equipment=("press",)))) == ["T0 T1"]


CLASHES = {
    "together and apart": (
        {"T0": TaskLimits(together="a", apart=("T1",)), "T1": TaskLimits(together="a")},
        ("kept together (a)", "T0 and T1 are kept apart"),
    ),
    "apart from what lies between": (
        {"T0": TaskLimits(together="a", apart=("T1",)), "T2": TaskLimits(together="a")},
        ("kept together (a)", "T0 and T1 are kept apart"),
    ),
    "fixed before the earliest of a predecessor": (
        {"T1": TaskLimits(station=1), "T0": TaskLimits(earliest_station=2)},
        ("T1 is fixed at station 1", "T0 is at station 2 or later", "order of the tasks"),
    ),
    "earliest after latest": (
        {"T1": TaskLimits(earliest_station=3, latest_station=2)},
        ("T1 is at station 3 or later", "T1 is at station 2 or earlier"),
    ),
    "two zones in a group": (
        {"T0": TaskLimits(together="a", zone="wet"), "T1": TaskLimits(together="a", zone="dry")},
        ("kept together (a)", "zones wet and dry do not share a station"),
    ),
    "a group longer than the limit": (
        {"T0": TaskLimits(together="a"), "T1": TaskLimits(together="a"),
         "T2": TaskLimits(together="a")},
        ("T0, T1, T2 are kept together (a)", "longer than the limit"),
    ),
    "fixed before there is room for the work before it": (
        {"T2": TaskLimits(station=1)},
        ("T2 is fixed at station 1", "work that comes before"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("name", CLASHES)
def test_limits_that_cannot_all_hold_are_impossible_and_named(name: str, method: str):
    limits, said = CLASHES[name]
    result = plan(limited(CHAIN, **limits), method)
    (finding,) = (f for f in result.findings if f.code == "limits-clash")
    assert result.ending == Ending.IMPOSSIBLE
    assert not [words for words in said if words not in finding.message]


def test_more_stations_named_than_allowed_are_impossible():
    result = plan(limited(CHAIN, T2=TaskLimits(station=4)), stations=3)
    assert result.ending == Ending.IMPOSSIBLE
    assert "T2 is fixed at station 4" in result.findings[0].message


def test_a_range_of_stations_leaves_out_the_numbers_that_limits_rule_out():
    # Three stations at least; three of 4 each are as good as can be.
    result = plan(
        limited(CHAIN, T2=TaskLimits(earliest_station=3)), stations_from=1, stations=3
    )  # fmt: skip
    assert (len(result.stations), result.ending) == (3, Ending.OPTIMAL)


def test_a_range_beginning_above_the_plan_gets_empty_stations_at_the_end():
    work = limited(line((4, 4)), T0=TaskLimits(station=1), T1=TaskLimits(station=2))
    result = plan(work, stations_from=3, stations=3)
    assert [s.tasks for s in result.stations] == [("T0",), ("T1",), ()]


BROKEN = {
    "station-not-allowed": (
        {"T0": TaskLimits(station=2)}, {"T0": TaskLimits(earliest_station=2)},
        {"T1": TaskLimits(latest_station=1)}, {"T0": TaskLimits(zone="wet")},
    ),
    "group-split": ({"T0": TaskLimits(together="a"), "T1": TaskLimits(together="a")},),
    "tasks-not-apart": ({"T1": TaskLimits(apart=("T2",))},),
    "zones-mixed": ({"T1": TaskLimits(zone="dry"), "T2": TaskLimits(zone="cold")},),
    "equipment-missing": ({"T0": TaskLimits(equipment=("press",))},),
}  # fmt: skip


@pytest.mark.parametrize(
    ("code", "limits"), [(code, limits) for code, rows in BROKEN.items() for limits in rows]
)
def test_a_plan_that_breaks_a_limit_is_refused_for_its_own_reason(
    code: str, limits: dict[str, TaskLimits]
):
    work = limited(LOOSE, StationSetting(number=3, zone="wet", equipment=("press",)), **limits)
    assert [f.code for f in verify(work, [["T0"], ["T1", "T2"]])] == [code]


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("work", [JACKSON, SPREADER, TWELVE, WAGON], ids=lambda work: work.line)
def test_no_limit_at_all_is_the_plain_line(method: str, work: LineWork):
    limit = 2 * max(work.times) / work.ticks
    bare = limited(work)
    results = [plan(each, method, limit=limit) for each in (work, bare)]
    assert results[0] == replace(results[1], effort=results[0].effort)


def test_a_limit_of_another_kind_leaves_a_plan_unproven():
    result = plan(limited(CHAIN, T0=TaskLimits(side=Side.LEFT)))
    assert (len(result.stations), result.proof.lower_bound) == (2, 2)
    assert result.ending == Ending.FOUND


def test_a_plan_of_a_method_that_does_not_keep_a_limit_is_one_warning():
    work = limited(LOOSE, T0=TaskLimits(station=3, apart=("T1",)), T1=TaskLimits(apart=("T2",)))
    with patch.dict(METHODS, GROUPS_ONLY):
        result = plan(work, "exact")
    assert [f.code for f in result.findings] == ["limits-broken"]
    assert (result.ending, result.proof.lower_bound) == (Ending.FOUND, 2)


def test_kept_and_not_kept_follow_from_the_forms_of_a_method():
    entered = limited(
        LOOSE, T0=TaskLimits(station=2, together="a", crossing=True), T1=TaskLimits(together="a")
    ).limits
    groups = "kept together"
    assert kept_limits(entered, frozenset({Form.GROUPS})) == (groups,)
    assert not_kept_by_method(entered, frozenset({Form.GROUPS})) == ("fixed station (task T0)",)
    assert set(kept_limits(entered, forms_kept(RULE))) == {groups, "fixed station"}
    assert not_kept_by_any(entered) == ("crossing the limit of a station (task T0)",)


def test_a_place_is_refused_in_the_words_of_the_limit():
    work = limited(
        LOOSE, T0=TaskLimits(station=2), T1=TaskLimits(together="a", apart=("T0",)),
        T2=TaskLimits(together="a"),
    )  # fmt: skip
    problem = balance_problem(work, 8)
    assert refusal(problem, 0, 1, {}) == "task T0 is fixed at station 2"
    assert refusal(problem, 0, 2, {}) is None
    assert refusal(problem, 1, 1, {2: 3}) == "tasks T1, T2 are kept together (a)"
    assert refusal(problem, 1, 2, {0: 2}) == "tasks T1 and T0 are kept apart"


def test_a_set_of_stations_seen_from_the_other_end():
    # Of five stations the second is the fourth from the end, the first the fifth.
    assert mirrored(station_set([1, 2, 9]), 5) == station_set([5, 4])


def test_the_second_solver_keeps_limits():
    # T0 at station 2 alone needs two; the rule proves the same.
    work = limited(line((1, 1)), T0=TaskLimits(station=2))
    settings = BalanceSettings(method=RULE, limit=8)
    assert confirm(work, balance(work, settings)).agrees


@pytest.mark.parametrize("asked", [{"limit": 8}, {"stations": 2}, {"limit": 8, "stations": 2}])
def test_the_second_solver_agrees_that_limits_clash(asked: dict[str, int]):
    limits = {"T0": TaskLimits(together="a", apart=("T1",)), "T1": TaskLimits(together="a")}
    settings = BalanceSettings(method=RULE, **asked)  # type: ignore[arg-type]
    work = limited(CHAIN, **limits)
    assert confirm(work, balance(work, settings)).agrees


@pytest.mark.parametrize("asked", [{"limit": 8}, {"stations": 2}, {"limit": 8, "stations": 2}])
def test_of_a_plan_that_breaks_limits_the_second_solver_judges_the_bound(asked: dict[str, int]):
    work = limited(LOOSE, T0=TaskLimits(apart=("T1", "T2")), T1=TaskLimits(apart=("T2",)))
    settings = BalanceSettings(method="exact", **asked)  # type: ignore[arg-type]
    with patch.dict(METHODS, GROUPS_ONLY):
        result = balance(work, settings)
    assert confirm(work, result).agrees is not False
