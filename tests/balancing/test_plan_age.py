"""A plan is out of date when something it depends on differs, and only then."""

from dataclasses import replace

from stationflow.balancing.plan_age import plan_differences
from stationflow.model import Demand, Line, Model, Product, Step, Task, TaskLimits

FAN = Product(
    code="F",
    lines=(Line(name="main"), Line(name="motor", feeds="main", join="20")),
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
    assert plan_differences(FAN, now, "main") == ("Task 20: time was 30.0 s, is 31.5 s.",)


def test_a_changed_arrow_is_named():
    now = with_task("20", predecessors=())
    assert plan_differences(FAN, now, "main") == ("Task 20: predecessors were 10, are none.",)


def test_tasks_that_come_and_go_are_named():
    now = replace(FAN, tasks=(FAN.tasks[0], Task(number="30", time_ms=5000), FAN.tasks[2]))
    assert set(plan_differences(FAN, now, "main")) == {"Task 20 is gone.", "Task 30 is new."}


def test_tasks_that_are_gone_are_named_in_their_old_order():
    numbers = ["70", "20", "90", "10", "50", "30"]
    before = replace(FAN, tasks=tuple(Task(number=n, time_ms=5000) for n in numbers))
    said = plan_differences(before, replace(FAN, tasks=()), "main")
    assert said == tuple(f"Task {n} is gone." for n in numbers)


def test_a_limit_of_a_task_counts():
    assert plan_differences(FAN, with_task("20", limits=TaskLimits(zone="wet")), "main")


def test_names_steps_and_order_do_not_count():
    now = with_task("10", name="Place", steps=())
    now = replace(now, tasks=now.tasks[::-1], name="Fan")
    assert plan_differences(FAN, now, "main") == ()


def test_a_change_on_another_line_does_not_count():
    assert plan_differences(FAN, with_task("M1", time_ms=99_000), "main") == ()


def test_a_feeders_plan_depends_on_the_line_it_feeds():
    now = replace(FAN, lines=(replace(FAN.lines[0], copies=2), FAN.lines[1]))
    assert plan_differences(FAN, now, "motor") == ("Line main: its settings differ.",)


def test_another_share_of_a_model_counts():
    mixed, now = (replace(FAN, models=(Model(name="A", share=share),)) for share in (0.5, 0.6))
    assert plan_differences(mixed, now, "main") == ("The mix of models differs.",)


def test_demand_and_mix_count():
    now = replace(FAN, demand=Demand(quantity=120), models=(Model(name="A"),))
    assert set(plan_differences(FAN, now, "main")) == {
        "The mix of models differs.",
        "The demand differs.",
    }
