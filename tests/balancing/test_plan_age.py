"""A plan is out of date when something it depends on differs, and only then."""

from dataclasses import replace

from stationflow.balancing.plan_inputs import plan_differences
from stationflow.model import (
    Calendar,
    Demand,
    FurtherJoin,
    Line,
    Model,
    Product,
    Shift,
    StationSetting,
    Step,
    Task,
    TaskLimits,
)

FAN = Product(
    code="F",
    lines=(Line(name="main"), Line(name="motor", feeds="main", join="20")),
    calendar=Calendar(shifts=(Shift(name="early", start="06:00", end="14:00"),)),
    demand=Demand(quantity=100),
    tasks=(
        Task(number="10", time_ms=20_000, steps=(Step(text="Place the base"),)),
        Task(number="20", time_ms=30_000, predecessors=("10",)),
        Task(number="M1", time_ms=15_000, line="motor"),
    ),
)


def with_task(number: str, **changes: object) -> Product:
    tasks = tuple(replace(t, **changes) if t.number == number else t for t in FAN.tasks)
    return replace(FAN, tasks=tasks)


def test_the_same_product_differs_in_nothing():
    assert plan_differences(FAN, FAN, "main") == ()


def test_a_changed_time_is_named_with_both_values():
    now = with_task("20", time_ms=31_500)
    assert plan_differences(FAN, now, "main") == ("Task 20, time: 30 s → 31.5 s.",)


def test_a_changed_arrow_is_named():
    now = with_task("20", predecessors=())
    assert plan_differences(FAN, now, "main") == ("Task 20, after: 10 → empty.",)


def test_tasks_that_come_and_go_are_named():
    new = (Task(number="30", time_ms=5000), Task(number="40", time_ms=4000))
    now = replace(FAN, tasks=(FAN.tasks[0], *new, FAN.tasks[2]))
    gone = ("Task 20: taken out.",)
    assert set(plan_differences(FAN, now, "main")) == {*gone, "Task 30: added.", "Task 40: added."}


def test_a_task_with_another_number_is_named():
    tasks = (FAN.tasks[0], replace(FAN.tasks[1], number="25"), FAN.tasks[2])
    now = replace(FAN, tasks=tasks)
    assert plan_differences(FAN, now, "main") == ("Task 20, number: 20 → 25.",)


def test_tasks_that_are_gone_are_named_in_their_old_order():
    numbers = ["70", "20", "90", "10", "50", "30"]
    before = replace(FAN, tasks=tuple(Task(number=n, time_ms=5000) for n in numbers))
    said = plan_differences(before, replace(FAN, tasks=()), "main")
    assert said == tuple(f"Task {n}: taken out." for n in numbers)


def test_a_limit_of_a_task_counts():
    now = with_task("20", limits=TaskLimits(zone="wet"))
    assert plan_differences(FAN, now, "main") == ("Task 20, zone: empty → wet.",)


def test_names_steps_and_order_do_not_count():
    now = with_task("10", name="Place", steps=())
    now = replace(now, tasks=now.tasks[::-1], name="Fan")
    assert plan_differences(FAN, now, "main") == ()


def test_a_change_on_another_line_does_not_count():
    assert plan_differences(FAN, with_task("M1", time_ms=99_000), "main") == ()


def test_a_feeders_plan_depends_on_the_line_it_feeds():
    coil = Line(name="coil", feeds="motor", join="M1")
    main, motor = FAN.lines
    before, now = (replace(FAN, lines=(main, replace(motor, quantity=q), coil)) for q in (1.0, 2.0))
    assert plan_differences(before, now, "coil") == ("Line motor, quantity: 1 → 2.",)


def test_two_copies_of_the_main_line_leave_its_feeders_their_pace():
    # Each has twice the takt: together they take as many motors as one did.
    now = replace(FAN, lines=(replace(FAN.lines[0], copies=2), FAN.lines[1]))
    assert plan_differences(FAN, now, "motor") == ()
    assert plan_differences(FAN, now, "main") == ("Line main, copies: 1 → 2.",)


def test_what_no_balance_asks_for_does_not_count():
    main = replace(
        FAN.lines[0], hall_m=40, carriers=9, stations=(StationSetting(number=2, length_m=3),)
    )
    assert plan_differences(FAN, replace(FAN, lines=(main, FAN.lines[1])), "main") == ()


def test_a_further_join_counts_for_the_feeder_alone():
    now = replace(FAN, joins=(FurtherJoin(line="motor", feeds="main", join="10"),))
    differ = [bool(plan_differences(FAN, now, line)) for line in ("main", "motor")]
    assert differ == [False, True]


def test_another_share_of_a_model_counts():
    mixed, now = (replace(FAN, models=(Model(name="A", share=share),)) for share in (0.5, 0.6))
    assert plan_differences(mixed, now, "main") == ("Model A, share: 0.5 → 0.6.",)


def test_demand_and_mix_count():
    now = replace(FAN, demand=Demand(quantity=120), models=(Model(name="A"),))
    assert set(plan_differences(FAN, now, "main")) == {
        "Model A: added.",
        "Good units wanted: 100 → 120.",
    }
