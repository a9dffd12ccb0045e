"""From a product to a line's work, and the findings on the way."""

from dataclasses import replace

import pytest
from small_plans import answer

from stationflow.balancing.arrows import circles, columns, longest_path, redundant_arrows
from stationflow.balancing.assignment import assignment
from stationflow.balancing.balance import balance_line
from stationflow.balancing.limits_findings import limits_not_kept
from stationflow.balancing.mix_loads import model_overloads
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.task_check import check_tasks
from stationflow.balancing.work import LineWork, line_work, mean_time_ms
from stationflow.model import (
    Ending,
    Line,
    LineForm,
    Model,
    ModelTime,
    Product,
    Side,
    StationSetting,
    Task,
    TaskLimits,
)
from stationflow.units import TimeUnit


def product(*tasks: Task, **more: object) -> Product:
    return Product(code="P", tasks=tasks, **more)  # type: ignore[arg-type]


def task(number: str, *before: str, time_ms: int | None = 10_000, **more: object) -> Task:
    return Task(number=number, time_ms=time_ms, predecessors=before, **more)  # type: ignore[arg-type]


def codes(made: Product) -> list[str]:
    return [finding.code for finding in check_tasks(made)]


FAULTS = {
    "task-without-number": [task(" ")],
    "duplicate-task": [task("10"), task("10")],
    "task-without-time": [task("10", time_ms=None)],
    "task-time-zero": [task("10", time_ms=0)],
    "unknown-predecessor": [task("10", "99")],
    "own-predecessor": [task("10", "10")],
    "precedence-circle": [task("10", "30"), task("20", "10"), task("30", "20")],
    "redundant-arrow": [task("10"), task("20", "10"), task("30", "10", "20")],
    "task-without-follower": [task("10"), task("20", "10"), task("30", "10")],
    "unknown-line": [task("10", line="board")],
    "unknown-model": [task("10", model_times=(ModelTime(model="X", time_ms=1000),))],
}


@pytest.mark.parametrize("code", FAULTS)
def test_each_fault_gives_its_own_finding(code: str):
    assert codes(product(*FAULTS[code])) == [code]


@pytest.mark.parametrize("pair", [("10", "010"), ("a", "A"), ("1-2", "1–2"), ("10", "10 ")])  # noqa: RUF001
def test_numbers_that_look_alike_are_told(pair: tuple[str, str]):
    assert codes(product(*map(task, pair))) == ["lookalike-numbers"]


def test_a_sound_product_has_no_findings():
    assert codes(product(task("10"), task("20", "10"))) == []


def dead_ends(made: Product) -> list[str]:
    return [f.where for f in check_tasks(made) if f.code == "task-without-follower"]


def test_every_dead_end_but_the_last_listed_is_named():
    tasks = [task("10"), *(task(number, "10") for number in ("20", "30", "40"))]
    assert dead_ends(product(*tasks)) == ["Task 20", "Task 30"]


def test_a_task_that_only_another_line_waits_for_is_no_dead_end():
    lines = (Line(name="main"), Line(name="board", feeds="main", join="20"))
    board = [task(n, *before, line="board") for n, *before in (("b1",), ("b2", "b1"), ("b3", "b1"))]
    tasks = [task("10"), task("20", "10", "b2"), *board]
    assert dead_ends(product(*tasks, lines=lines)) == []


def test_a_join_is_no_dead_end():
    lines = (Line(name="main"), Line(name="board", feeds="main", join="20"))
    tasks = [task("10"), task("20", "10"), task("30", "10"), task("b1", line="board")]
    assert dead_ends(product(*tasks, lines=lines)) == []


def test_a_line_whose_order_is_not_entered_has_no_dead_end():
    assert dead_ends(product(task("10"), task("20"))) == []


def test_the_circle_is_printed_in_the_order_of_its_arrows():
    found = check_tasks(product(*FAULTS["precedence-circle"]))[0]
    assert "10 -> 20 -> 30 -> 10" in found.message


def test_a_circle_of_a_thousand_tasks_is_found():
    assert [len(c) for c in circles([((j - 1) % 1000,) for j in range(1000)])] == [1000]


def test_a_task_behind_a_circle_is_not_part_of_it():
    assert circles([(1,), (0,), (1,)]) == [(0, 1)]


def test_circles_that_do_not_touch_are_both_named():
    assert circles([(1,), (0,), (), (3, 2)]) == [(0, 1), (3,)]


def test_of_circles_that_touch_the_shortest_from_the_first_task_is_named():
    # By hand: 0-1-2-0 and 0-2-0.
    assert circles([(2,), (0,), (0, 1)]) == [(0, 2)]


def test_columns_follow_the_latest_predecessor():
    # By hand.
    assert columns([(), (0,), (0, 1), ()]) == (1, 2, 3, 1)


def test_the_longest_path_is_the_longest_by_time():
    # By hand: 0-2-3 takes 15 though 0-1-3 has as many tasks.
    assert longest_path([5, 1, 6, 4], [(), (0,), (0,), (1, 2)]) == (0, 2, 3)


def test_arrows_over_two_steps_are_redundant():
    assert redundant_arrows([(), (0,), (1,), (0, 2)]) == ((0, 3),)


def test_arrows_that_follow_from_others_are_one_note_for_a_line():
    chain = [task("1"), task("2", "1"), task("3", "1", "2"), task("4", "2", "3")]
    (found,) = check_tasks(product(*chain))
    assert found.where == "Line main"
    assert found.message == "Arrows that follow from other arrows: 1 to 3, 2 to 4."


def test_times_become_whole_milliseconds():
    work, _ = line_work(product(task("10", time_ms=27_400)), "main")
    assert work is not None
    assert work.times == (27_400,)


def test_the_time_of_a_mix_is_weighted_by_the_shares():
    # By hand: 0.75 x 10 + 0.25 x 20 = 12.5 s.
    mixed = product(
        task("10", model_times=(ModelTime(model="B", time_ms=20_000),)),
        models=(Model(name="A", share=0.75), Model(name="B", share=0.25)),
    )
    work, _ = line_work(mixed, "main")
    assert work is not None
    assert work.times == (12_500,)


def test_shares_that_do_not_add_up_to_one_are_still_weights():
    # By hand: (1 x 10 + 2 x 20) / 3 = 16.667 s, half up.
    mixed = product(
        task("10", model_times=(ModelTime(model="B", time_ms=20_000),)),
        models=(Model(name="A", share=1), Model(name="B", share=2)),
    )
    work, _ = line_work(mixed, "main")
    assert work is not None
    assert work.times == (16_667,)


def test_models_without_shares_count_alike():
    # By hand: (10 + 20) / 2 = 15 s.
    mixed = product(
        task("10", model_times=(ModelTime(model="B", time_ms=20_000),)),
        models=(Model(name="A", share=0), Model(name="B", share=0)),
    )
    assert mean_time_ms(mixed, mixed.tasks[0]) == 15_000


def test_half_a_millisecond_of_a_mean_is_rounded_up():
    # By hand: (10.000 + 10.001) / 2 = 10.0005 s, half up 10.001 s.
    mixed = product(
        task("10", model_times=(ModelTime(model="B", time_ms=10_001),)),
        models=(Model(name="A", share=1), Model(name="B", share=1)),
    )
    assert mean_time_ms(mixed, mixed.tasks[0]) == 10_001


def test_a_limit_between_two_whole_units_is_rounded_down():
    # By hand: 4 and 6 have the divisor 2; of these units 9.9 holds 4 (8), not 5 (10).
    work = LineWork(line="main", numbers=("1", "2"), times=(4, 6), predecessors=((), ()), ticks=1)
    assert balance_problem(work, 9.9).limit == 4


def test_arrows_from_other_lines_are_left_out():
    two = product(
        task("F1", line="board"), task("10", "F1"), task("20", "10"),
        lines=(Line(), Line(name="board", feeds="main", join="10")),
    )  # fmt: skip
    work, _ = line_work(two, "main")
    assert work is not None
    assert work.predecessors == ((), (0,))


def test_faults_of_another_line_do_not_stop_this_one():
    two = product(
        task("F1", line="board", time_ms=None), task("10"),
        lines=(Line(), Line(name="board", feeds="main", join="10")),
    )  # fmt: skip
    assert line_work(two, "main")[1] == ()


@pytest.mark.parametrize("code", ["task-without-time", "unknown-predecessor", "precedence-circle"])
def test_errors_leave_no_work(code: str):
    work, findings = line_work(product(*FAULTS[code]), "main")
    assert (work, [f.code for f in findings]) == (None, [code])


def test_a_line_that_is_not_there_is_a_finding():
    assert line_work(product(task("10")), "board")[1][0].code == "unknown-line"


def test_one_warning_names_all_that_is_not_kept():
    found = limits_not_kept(
        product(
            task("10", limits=TaskLimits(crossing=True, side=Side.LEFT)), task("20"),
            lines=(Line(form=LineForm.U_LINE, stations=(StationSetting(number=2, operators=2),)),),
        ),
        "main",
    )  # fmt: skip
    assert found is not None
    for said in (
        "crossing the limit of a station (task 10)",
        "side of the line (task 10)",
        "station 2",
        "u-line",
    ):
        assert said in found.message


def test_what_is_entered_of_stations_for_the_flow_is_no_limit():
    own = StationSetting(number=3, places_after=2, length_m=1.5, mtbf_min=600, mttr_min=5)
    planned = product(task("10"), task("20"), lines=(Line(stations=(own,)),))
    assert limits_not_kept(planned, "main") is None
    # 10 s and 10 s fill two stations of 10 s: none is better
    assert balance_line(planned, limit_s=10).ending == Ending.OPTIMAL


def test_a_plain_line_needs_no_warning():
    assert limits_not_kept(product(task("10")), "main") is None


def overloaded(limit: float) -> list[str]:
    """Return the stations over a limit of a line whose one task takes model B 20 s, mean 12.5 s."""
    mixed = product(
        task("10", model_times=(ModelTime(model="B", time_ms=20_000),)),
        models=(Model(name="A", share=0.75), Model(name="B", share=0.25)),
    )
    work, _ = line_work(mixed, "main")
    assert work is not None
    result = replace(answer(limit=limit), assignment=assignment(work, [(1, ("10",))]))
    return [finding.where for finding in model_overloads(result, TimeUnit.SECOND)]


def test_a_model_over_the_takt_is_a_warning_at_its_station():
    assert overloaded(15.0) == ["Station 1"]


def test_a_model_that_takes_just_the_takt_is_not_over_it():
    assert overloaded(20.0) == []


def of_models(*shares: float) -> Product:
    models = tuple(Model(name=f"m{at}", share=share) for at, share in enumerate(shares))
    return product(task("10"), models=models)


@pytest.mark.parametrize("shares", [(0.5, 0.4), (1.0, 1.0), (30, 70), (0, 0)])
def test_shares_of_models_that_do_not_add_up_to_one_are_named(shares):
    assert codes(of_models(*shares)) == ["share-sum"]


@pytest.mark.parametrize("shares", [(), (1,), (0.25, 0.75), (0.333, 0.333, 0.333), (0.1,) * 10])
def test_shares_of_models_that_add_up_to_one_as_they_can_be_written_are_fine(shares):
    assert codes(of_models(*shares)) == []


def test_two_models_of_one_name_stop_the_balance():
    models = (Model(name="A", share=0.5), Model(name="A", share=0.5))
    work, findings = line_work(product(task("10"), models=models), "main")
    assert (work, [f.code for f in findings]) == (None, ["duplicate-model"])


def test_a_negative_share_of_a_model_is_refused():
    with pytest.raises(ValueError, match="share must not be negative"):
        Model(name="A", share=-0.5)
