"""All lines balanced at once: precedence and joins kept, held against all choices of lines."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product as every_choice
from math import ceil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stationflow.actions.opening.opened import open_source
from stationflow.balancing.balance import balance_product
from stationflow.balancing.progress import Progress
from stationflow.line.joint.joint_balance import JointBalance, MovedTask, joint_balance
from stationflow.line.joint.joint_check import check_joint
from stationflow.line.joint.joint_search import JointSearch
from stationflow.line.joint.line_answers import LineAnswers
from stationflow.line.joint.ownership import ownership
from stationflow.model import (
    BalanceSettings,
    Ending,
    FurtherJoin,
    Line,
    Machine,
    MachineKind,
    Product,
    StationSetting,
    Task,
    TaskLimits,
    TimeLag,
    has_errors,
)
from stationflow.network.joins import check_lines
from tests.small_products import A_MINUTE, MOVABLE, ONE_SHIFT

BOARD = MOVABLE.lines[1]


def made(*tasks: Task, lines: Sequence[Line] = (Line(), BOARD), **more: object) -> Product:
    """Return a product at one unit a minute: each station may work 60 s."""
    given = {"code": "J", "calendar": ONE_SHIFT, "demand": A_MINUTE}
    return Product(**given, tasks=tasks, lines=tuple(lines), **more)  # type: ignore[arg-type]


def task(number: str, time_s: int, *before: str, line: str = "main", other: str = "") -> Task:
    """Return a task with the tasks it waits for, and the line it may be done on too."""
    others = (other,) if other else ()
    return Task(
        number=number,
        line=line,
        time_ms=1000 * time_s,
        predecessors=before,
        other_lines=others,
    )


SPLIT = made(
    task("10", 30),
    task("20", 30, "10"),
    task("30", 20, "20", other="board"),
    task("B1", 30, line="board"),
)
"""Main needs 80 s in 2 stations and the board 30 s in 1; with task 30 on the board 60 and 50 s, but
task 30 waits for task 20, which comes on the main line: it cannot move."""

FREE = MOVABLE
"""The same, but task 30 waits for nothing."""


def stations_of(found: JointBalance) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Return the tasks of each station by line."""
    return {r.line: tuple(s.tasks for s in r.stations) for r in found.results}


def test_a_task_goes_where_it_saves_a_station():
    found = joint_balance(FREE)
    assert found.moved == (MovedTask(task="30", old="main", new="board"),)
    assert (found.separate_stations, found.total_stations, found.lower_bound) == (3, 2, 2)
    assert found.ending == Ending.OPTIMAL
    assert sorted(stations_of(found)["board"][0]) == ["30", "B1"]


def test_a_task_that_follows_a_task_of_the_main_line_does_not_go_to_the_feeder():
    found = joint_balance(SPLIT)
    assert (found.moved, found.total_stations) == ((), 3)


def test_a_task_that_was_followed_on_the_main_line_goes_when_its_followers_come_after_the_join():
    # Task 40 waits for task 30, and task 20 is the join: 40 must come after 20 then.
    product = replace(FREE, tasks=(*FREE.tasks, task("40", 60, "30")))
    found = joint_balance(product)
    assert found.moved == (MovedTask(task="30", old="main", new="board"),)
    assert stations_of(found)["main"] == (("10", "20"), ("40",))
    moved = next(t for t in found.product.tasks if t.number == "40")
    assert moved.predecessors == ("30", "20")
    assert not has_errors(check_lines(found.product))


def test_a_task_whose_follower_comes_before_the_join_stays():
    # Task 10 waits for task 30, and the join 20 waits for task 10.
    tasks = (replace(FREE.tasks[0], predecessors=("30",)), *FREE.tasks[1:])
    found = joint_balance(replace(FREE, tasks=tasks))
    assert (found.moved, found.total_stations) == ((), 3)


def test_a_task_of_the_feeder_that_comes_to_the_main_line_comes_after_the_join():
    product = made(
        task("10", 30),
        task("20", 10, "10"),
        task("B1", 55, line="board"),
        task("B2", 15, "B1", line="board", other="main"),
    )
    found = joint_balance(product)
    # 40 + 15 s on main in one station and 55 s on the board in one
    assert found.total_stations == 2
    assert stations_of(found) == {"main": (("10", "20", "B2"),), "board": (("B1",),)}
    moved = next(t for t in found.product.tasks if t.number == "B2")
    assert (moved.line, moved.other_lines) == ("main", ("board",))
    assert moved.predecessors == ("B1", "20")


def test_a_move_that_saves_nothing_is_taken_back():
    # Main 20 + 30 + 5 s with task 30 on the board, 30 + 20 s there: task 5 may be on either.
    tasks = (replace(FREE.tasks[0], time_ms=20_000), *FREE.tasks[1:])
    product = replace(FREE, tasks=(task("5", 5, other="board"), *tasks))
    answers = LineAnswers(product, BalanceSettings(), Progress(), None)
    search = JointSearch(ownership(product), ("main", "board"), answers, Progress())
    assert search.run().total == 2
    both, home = {0: "board", 3: "board"}, {0: "main", 3: "main"}
    assert search._with_fewer_moves(both, home) == {0: "main", 3: "board"}


def test_a_task_of_the_feeder_that_another_of_it_waits_for_stays():
    product = made(
        task("10", 30),
        task("20", 10, "10"),
        task("B1", 15, line="board", other="main"),
        task("B2", 55, "B1", line="board"),
    )
    assert joint_balance(product).moved == ()


def test_a_feeder_keeps_a_task():
    product = made(task("10", 20), task("20", 20), task("B1", 10, line="board", other="main"))
    assert joint_balance(product).total_stations == 2


def test_a_task_moves_between_two_feeders_of_one_line():
    other = Line(name="loom", feeds="main", join="20")
    product = made(
        task("10", 30),
        task("20", 30, "10"),
        task("B1", 50, line="board"),
        task("B2", 20, line="board", other="loom"),
        task("L1", 30, line="loom"),
        lines=(Line(), BOARD, other),
    )
    found = joint_balance(product)
    assert found.moved == (MovedTask(task="B2", old="board", new="loom"),)
    assert (found.separate_stations, found.total_stations) == (4, 3)


def test_stations_count_as_often_as_their_line_has_copies():
    # Two boards a minute on two copies: 1 station each. A main station for 25 s, or 25 s more on
    # each copy of the board, which has 60 s: 2 + 2 stations against 1 + 2.
    board = replace(BOARD, copies=2)
    product = made(
        task("10", 50),
        task("20", 10, "10"),
        task("30", 25, other="board"),
        task("B1", 30, line="board"),
        lines=(Line(), board),
    )
    found = joint_balance(product)
    assert (found.separate_stations, found.total_stations) == (4, 3)


def test_tasks_of_a_group_move_together_or_not_at_all():
    together = TaskLimits(together="G")
    tasks = list(FREE.tasks)
    tasks[2] = replace(tasks[2], limits=together)
    tasks.append(replace(task("35", 5), limits=together))  # on the main line alone
    found = joint_balance(replace(FREE, tasks=tuple(tasks)))
    assert found.moved == ()
    assert [f.code for f in found.findings] == ["other-line-left-out"]
    assert "shares its station" in found.findings[0].message


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"limits": TaskLimits(station=2)}, "station numbers are entered for it"),
        ({"time_ms": 61_000}, "longer than a station of that line may work"),
    ],
)
def test_a_task_that_may_not_move_is_named_with_its_reason(changed: dict[str, object], said: str):
    tasks = list(FREE.tasks)
    tasks[2] = replace(tasks[2], **changed)  # type: ignore[arg-type]
    found = ownership(replace(FREE, tasks=tuple(tasks)))
    assert found.blocks == ()
    assert [(f.code, f.where) for f in found.findings] == [("other-line-left-out", "Task 30")]
    assert said in found.findings[0].message


def test_a_task_a_machine_does_stays_with_the_machine():
    machine = Machine(name="press", kind=MachineKind.PRESS, task="30")
    found = ownership(replace(FREE, machines=(machine,)))
    assert "a machine on line main does it" in found.findings[0].message


def test_a_task_where_a_feeder_joins_stays():
    product = made(
        task("10", 30), task("20", 30, "10", other="board"), task("B1", 30, line="board")
    )
    assert "a feeder joins at it" in ownership(product).findings[0].message


def test_a_line_that_makes_two_for_one_is_not_tried():
    lines = (Line(), replace(BOARD, quantity=2.0))
    found = ownership(replace(FREE, lines=lines))
    assert "2 of its units are in one product and 1 of line main" in found.findings[0].message


def test_a_line_that_is_consumed_twice_is_not_tried_as_one_that_is_fed_once():
    further = FurtherJoin(line="board", feeds="main", join="10")
    assert ownership(replace(FREE, joins=(further,))).blocks == ()


def test_limits_entered_are_kept():
    # Task 30 may not share a station with B1: on the board it would need a second one.
    limits = TaskLimits(apart=("B1",))
    tasks = (*FREE.tasks[:2], replace(FREE.tasks[2], limits=limits), FREE.tasks[3])
    found = joint_balance(replace(FREE, tasks=tasks))
    assert (found.total_stations, found.ending) == (3, Ending.OPTIMAL)


def test_times_between_tasks_are_kept_where_others_move():
    # 10 must have cooled for 100 s before 20: two stations on, so that main has 3 or more.
    lag = TimeLag(before="10", after="20", shortest_ms=100_000)
    settings_ = (StationSetting(number=1),)
    found = joint_balance(
        replace(FREE, lags=(lag,), lines=(Line(stations=settings_), BOARD)),
        BalanceSettings(seconds=20),
    )
    # 60 s a place: with 30 s left at station 1 behind task 10, 2 places on 60 + 30 < 100 <= 60 + 60
    assert found.total_stations == 4
    assert found.ending == Ending.OPTIMAL


def test_without_tasks_that_may_move_the_lines_are_balanced_as_they_are():
    product = replace(FREE, tasks=tuple(replace(t, other_lines=()) for t in FREE.tasks))
    found = joint_balance(product)
    alone = [balance_product(product, line.name, BalanceSettings()) for line in product.lines]
    assert [r.stations for r in found.results] == [r.stations for r in alone]
    assert (found.total_stations, found.ending) == (3, Ending.OPTIMAL)


def test_data_errors_are_told_line_by_line():
    product = replace(FREE, tasks=(replace(FREE.tasks[0], time_ms=None), *FREE.tasks[1:]))
    found = joint_balance(product)
    assert (found.ending, found.has_plans) == (None, False)
    assert [f.code for f in found.results[0].findings] == ["task-without-time"]


def test_lines_that_cannot_be_done_at_their_pace_say_so():
    product = made(task("10", 90), task("20", 10), task("B1", 10, line="board", other="main"))
    found = joint_balance(product)
    assert (found.ending, found.has_plans) == (Ending.IMPOSSIBLE, False)
    assert "task-longer-than-limit" in [f.code for f in found.results[0].findings]


def test_another_goal_than_the_pace_is_a_mistake():
    with pytest.raises(ValueError, match="at their own pace"):
        joint_balance(FREE, BalanceSettings(stations=3))


class Stops(Progress):
    """Stops at once."""

    def should_stop(self) -> bool:
        """Return True."""
        return True


def test_a_search_that_is_stopped_keeps_what_it_has():
    found = joint_balance(FREE, progress=Stops())
    assert found.lower_bound <= (found.total_stations or found.lower_bound)


@st.composite
def small_products(draw: st.DrawFn) -> Product:
    """Draw a main line with two feeders, some of whose tasks may be done elsewhere."""
    lines = (
        Line(),
        Line(name="board", feeds="main", join="M2"),
        Line(name="loom", feeds=draw(st.sampled_from(["main", "board"])), join=""),
    )
    lines = (*lines[:2], replace(lines[2], join="M3" if lines[2].feeds == "main" else "B1"))
    tasks = []
    for line, letter, size in (("main", "M", 4), ("board", "B", 3), ("loom", "L", 2)):
        others = [each.name for each in lines if each.name != line]
        for at in range(1, size + 1):
            before = [f"{letter}{k}" for k in range(1, at) if draw(st.booleans())]
            is_free = draw(st.booleans())
            other = draw(st.sampled_from(others)) if is_free else ""
            time_s = draw(st.integers(5, 60))
            tasks.append(task(f"{letter}{at}", time_s, *before, line=line, other=other))
    return made(*tasks, lines=lines)


def choices(product: Product) -> Iterator[dict[int, str]]:
    """Yield every choice of lines for the tasks that may move."""
    blocks = ownership(product).blocks
    for lines in every_choice(*(block.lines for block in blocks)):
        chosen = zip(blocks, lines, strict=True)
        yield {at: line for block, line in chosen for at in block.tasks}


@settings(max_examples=25, deadline=None)
@given(small_products())
def test_no_choice_of_lines_has_fewer_stations(product: Product):
    known, totals = ownership(product), []
    for chosen in choices(product):
        moved = known.moved(chosen)
        if has_errors(check_lines(moved)):
            continue
        results = [balance_product(moved, line.name, BalanceSettings()) for line in moved.lines]
        if all(result.has_plan for result in results):
            assert all(result.ending == Ending.OPTIMAL for result in results)
            totals.append(sum(len(result.stations) for result in results))
    found = joint_balance(product)
    assert (found.total_stations, found.lower_bound) == (min(totals), min(totals))
    work = sum(t.time_ms or 0 for t in product.tasks)
    assert found.total_stations >= ceil(work / 60_000)
    assert check_joint(product, found.product, {r.line: r for r in found.results}) == ()


def results_with(found: JointBalance, line: str, stations: tuple[tuple[str, ...], ...]):
    """Return the plans with the tasks of one line in another order of stations."""
    rows = {r.line: r for r in found.results}
    old = rows[line].assignment
    assert old is not None
    named = tuple(
        replace(
            station,
            operators=(replace(station.operators[0], tasks=tuple((t, 0) for t in tasks)),),
        )
        for station, tasks in zip(old.stations, stations, strict=True)
    )
    return {**rows, line: replace(rows[line], assignment=replace(old, stations=named))}


def test_the_check_refuses_a_task_before_the_join_its_unit_comes_at():
    product = replace(FREE, tasks=(*FREE.tasks, task("40", 60, "30")))
    found = joint_balance(product)
    wrong = results_with(found, "main", (("40",), ("10", "20")))
    codes = [f.code for f in check_joint(product, found.product, wrong)]
    assert codes == ["predecessor-later", "predecessor-later"]  # on the line, and by the join


def test_the_check_refuses_a_line_that_was_not_entered():
    moved = replace(FREE, tasks=(replace(FREE.tasks[0], line="board"), *FREE.tasks[1:]))
    found = check_joint(FREE, moved, {})
    assert [(f.code, f.where) for f in found] == [("station-not-allowed", "Task 10")]


def test_the_check_refuses_an_arrow_that_was_lost():
    lost = replace(
        FREE, tasks=(FREE.tasks[0], replace(FREE.tasks[1], predecessors=()), *FREE.tasks[2:])
    )
    assert [f.code for f in check_joint(FREE, lost, {})] == ["predecessor-later"]


@pytest.mark.campaign
def test_the_lines_of_the_demo_appliance_need_a_station_less_at_once_than_one_by_one():
    folder = Path(__file__).parents[3] / "demo_products" / "air_purifier"
    found = joint_balance(open_source(str(folder)).product, BalanceSettings(seconds=300))
    assert found.moved == (MovedTask(task="C100", old="control board", new="main"),)
    assert (found.separate_stations, found.total_stations, found.lower_bound) == (47, 46, 46)
