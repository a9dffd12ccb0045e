"""Split and merge tasks.

Expected values are worked out by hand; the rules are common practice, no source, and the
invariants hold for any product.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_products import BOARD_LAMP, BROKEN, LAMP, MIXED

from stationflow.editing.renumbering import renumber_line
from stationflow.editing.task_changes import delete_tasks, duplicate_task
from stationflow.editing.task_mentions import TaskChangeError
from stationflow.editing.task_merging import merge_tasks
from stationflow.editing.task_splitting import divided, split_by_steps, split_by_times
from stationflow.model import (
    MAIN_LINE,
    ModelTime,
    PartUse,
    Product,
    Side,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)


def arrows(product: Product) -> dict[str, tuple[str, ...]]:
    return {task.number: task.predecessors for task in product.tasks}


def with_task(product: Product, place: int, **changed: object) -> Product:
    task = replace(product.tasks[place], **changed)
    return replace(product, tasks=(*product.tasks[:place], task, *product.tasks[place + 1 :]))


STEPS = (
    Step(text="Cut", time_ms=10_000),
    Step(text="Strip", time_ms=5000),
    Step(text="Fit", time_ms=20_000),
)
WIRED = with_task(LAMP, 2, steps=STEPS)


def steps_of(product: Product, *places: int) -> list[list[tuple[str, int | None]]]:
    return [[(s.text, s.time_ms) for s in product.tasks[at].steps] for at in places]


def test_the_first_part_takes_the_arrows_in_and_the_last_those_out():
    product = split_by_times(LAMP, 2, [15_000, 20_000]).product
    assert {n: arrows(product)[n] for n in ("30", "35", "40")} == {
        "30": ("10",),
        "35": ("30",),
        "40": ("20", "35"),
    }


def test_each_of_many_parts_waits_for_the_one_before():
    product = split_by_times(LAMP, 2, [5000, 10_000, 20_000]).product
    assert [t.number for t in product.tasks][2:5] == ["30", "33", "36"]
    assert [t.predecessors for t in product.tasks][3:5] == [("30",), ("33",)]


def test_times_that_do_not_add_up_are_refused():
    with pytest.raises(TaskChangeError, match=r"do not add up to its time, 35\.0 s"):
        split_by_times(LAMP, 2, [15_000, 15_000])


def test_a_task_without_time_is_not_split_by_times():
    with pytest.raises(TaskChangeError, match="Task 30 has no time that could be divided"):
        split_by_times(BROKEN, 2, [1000, 2000])


def test_a_timed_step_goes_to_the_part_of_its_time():
    product = split_by_times(WIRED, 2, [15_000, 20_000]).product
    assert steps_of(product, 2, 3) == [[("Cut", 10_000), ("Strip", 5000)], [("Fit", 20_000)]]


def test_a_step_that_a_border_cuts_stands_in_both_parts():
    product = split_by_times(WIRED, 2, [12_000, 23_000]).product
    assert steps_of(product, 2, 3) == [
        [("Cut", 10_000), ("Strip", 2000)],
        [("Strip", 3000), ("Fit", 20_000)],
    ]


def test_split_by_steps_gives_each_part_the_time_of_its_steps():
    product = split_by_steps(WIRED, 2, [1, 2]).product
    assert [product.tasks[at].time_ms for at in (2, 3)] == [10_000, 25_000]


def test_what_rounding_leaves_goes_to_the_largest_remainder():
    # By hand: 7 / 3 = 2.33 and 14 / 3 = 4.67.
    assert divided(7, [1, 2]) == [2, 5]


def test_the_variance_is_divided_like_the_time():
    # By hand: a quarter of the time has 400 x sqrt(1/4), the rest 400 x sqrt(3/4) = 346.4.
    product = split_by_times(with_task(LAMP, 2, time_sd_ms=400), 2, [8750, 26_250]).product
    assert [product.tasks[at].time_sd_ms for at in (2, 3)] == [200, 346]


def test_split_by_untimed_steps_divides_the_time_by_their_count():
    untimed = with_task(LAMP, 2, steps=tuple(replace(s, time_ms=None) for s in STEPS))
    product = split_by_steps(untimed, 2, [1, 2]).product
    assert [product.tasks[at].time_ms for at in (2, 3)] == [11_667, 23_333]  # 35 s / 3, to the ms


def test_steps_that_are_left_over_are_refused():
    with pytest.raises(TaskChangeError, match="Task 30 has 3 steps"):
        split_by_steps(WIRED, 2, [1, 1])


def test_parts_stay_with_the_first_part():
    product = split_by_times(LAMP, 0, [10_000, 20_000]).product
    assert [task.parts for task in product.tasks[:2]] == [LAMP.tasks[0].parts, ()]


def test_checks_go_to_the_last_part():
    product = split_by_times(LAMP, 4, [10_000, 30_000]).product
    assert [task.checks for task in product.tasks[4:]] == [(), LAMP.tasks[4].checks]


def test_cautions_stand_at_every_part():
    product = split_by_times(LAMP, 0, [10_000, 20_000]).product
    assert [task.cautions for task in product.tasks[:2]] == [LAMP.tasks[0].cautions] * 2


def test_a_model_that_needs_no_such_task_needs_no_part_of_it():
    product = with_task(MIXED, 0, model_times=(ModelTime(model="A", time_ms=0),))
    parts = split_by_times(product, 0, [10_000, 20_000]).product.tasks[:2]
    assert [task.time_ms_for("A") for task in parts] == [0, 0]


def test_a_time_after_a_split_task_counts_from_its_last_part():
    product = split_by_times(BOARD_LAMP, 2, [15_000, 20_000]).product
    assert product.lags == (TimeLag(before="35", after="50", shortest_ms=60_000),)


def test_a_feeder_joins_at_the_first_part():
    assert split_by_times(BOARD_LAMP, 2, [15_000, 20_000]).product.lines[1].join == "30"


def test_who_is_kept_apart_from_a_task_is_kept_apart_from_its_parts():
    product = with_task(LAMP, 4, limits=TaskLimits(apart=("30",)))
    assert split_by_times(product, 2, [15_000, 20_000]).product.tasks[-1].limits.apart == (
        "30",
        "35",
    )


def test_splitting_the_second_task_of_a_number_leaves_the_arrows_to_the_first():
    product = replace(BROKEN, tasks=(*BROKEN.tasks, Task(number="60", predecessors=("50",))))
    assert split_by_times(product, 5, [2000, 4000]).product.tasks[-1].predecessors == ("50",)


def test_a_merged_task_has_the_arrows_of_all():
    product = merge_tasks(LAMP, [1, 2]).product
    assert arrows(product) == {"10": (), "20": ("10",), "40": ("20",), "50": ("40",)}


def test_a_merged_task_has_the_sum_of_the_times():
    assert merge_tasks(LAMP, [1, 2]).product.tasks[1].time_ms == 60_000


def test_a_merge_that_would_close_a_circle_names_the_path():
    with pytest.raises(TaskChangeError, match="10 before 20 before 40, and 20 would have to"):
        merge_tasks(LAMP, [0, 3])


def test_a_merge_over_the_whole_path_is_done():
    assert arrows(merge_tasks(LAMP, [0, 1, 2, 3]).product) == {"10": (), "50": ("10",)}


def test_parts_of_one_number_are_summed():
    product = with_task(LAMP, 1, parts=(PartUse(part="P-1", quantity=2),))
    assert merge_tasks(product, [0, 1]).product.tasks[0].parts == (PartUse(part="P-1", quantity=3),)


def test_a_model_without_a_time_of_its_own_adds_the_tasks_time():
    product = merge_tasks(MIXED, [0, 1]).product
    assert [product.tasks[0].time_ms_for(m) for m in "AB"] == [45_000, 65_000]  # 20 + 25, 40 + 25 s


def test_a_task_without_steps_becomes_a_step_beside_others():
    product = merge_tasks(LAMP, [0, 1]).product
    assert [s.text for s in product.tasks[0].steps] == ["Lay base in jig", "Screw on foot"]


def test_a_join_at_a_merged_task_follows():
    assert merge_tasks(BOARD_LAMP, [1, 2]).product.lines[1].join == "20"


def test_tasks_with_a_time_between_them_are_not_merged():
    product = replace(BOARD_LAMP, lags=(TimeLag(before="30", after="40", shortest_ms=60_000),))
    with pytest.raises(TaskChangeError, match="A time between tasks 30 and 40"):
        merge_tasks(product, [2, 3])


def test_of_two_shortest_times_to_one_task_the_longer_is_kept():
    lags = (
        TimeLag(before="20", after="50", shortest_ms=30_000),
        TimeLag(before="30", after="50", shortest_ms=60_000, longest_ms=90_000),
    )
    product = merge_tasks(replace(LAMP, lags=lags), [1, 2]).product
    assert product.lags == (
        TimeLag(before="20", after="50", shortest_ms=60_000, longest_ms=90_000),
    )


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        (TaskLimits(station=1), TaskLimits(station=2), "fixed station 1, task 30 has 2"),
        (TaskLimits(zone="dry"), TaskLimits(zone="wet"), "zone “dry”, task 30 has “wet”"),
        (TaskLimits(side=Side.LEFT), TaskLimits(side=Side.RIGHT), "side “left”"),
        (TaskLimits(apart=("30",)), TaskLimits(), "apart from task 30"),
        (TaskLimits(), TaskLimits(independent_of=("20",)), "by another operator than task 20"),
    ],
)
def test_limits_that_contradict_each_other_are_named(one, other, said):
    product = with_task(with_task(LAMP, 1, limits=one), 2, limits=other)
    with pytest.raises(TaskChangeError, match=said):
        merge_tasks(product, [1, 2])


def test_what_one_limit_says_holds_for_the_merged_task():
    product = with_task(LAMP, 1, limits=TaskLimits(zone="dry", space_mm=200, static_safe=True))
    product = with_task(product, 2, limits=TaskLimits(side=Side.EITHER, space_mm=300))
    assert merge_tasks(product, [1, 2]).product.tasks[1].limits == TaskLimits(
        zone="dry", space_mm=500, static_safe=True, side=Side.EITHER
    )


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"time_ms": None}, "Task 30 is not timed"),
        ({"machine": True}, "The time of task 30 is a machine's"),
        ({"time_sd_ms": 1000}, "not for 20"),
        ({"line": "other"}, "on the lines main and other"),
    ],
)
def test_tasks_that_differ_in_nature_are_not_merged(changed, said):
    with pytest.raises(TaskChangeError, match=said):
        merge_tasks(with_task(LAMP, 2, **changed), [1, 2])


def test_one_task_alone_is_not_merged():
    with pytest.raises(TaskChangeError, match="One task alone cannot be merged"):
        merge_tasks(LAMP, [1])


def test_parts_divided_in_proportion_add_up_exactly():
    assert divided(100, [1, 1, 1]) == [34, 33, 33]


@st.composite
def lines_of_work(draw: st.DrawFn) -> Product:
    """Draw a product without circles: tasks wait only for tasks listed before them."""
    count = draw(st.integers(2, 8))
    tasks = []
    for i in range(count):
        before = draw(st.sets(st.integers(0, i - 1), max_size=3)) if i else set()
        time_ms = draw(st.integers(2, 60_000))
        steps = draw(st.lists(st.integers(0, 9000), max_size=3))
        tasks.append(
            Task(
                number=f"{10 * (i + 1)}",
                time_ms=time_ms,
                predecessors=tuple(f"{10 * (b + 1)}" for b in sorted(before)),
                steps=tuple(Step(text=f"S{n}", time_ms=time) for n, time in enumerate(steps)),
                model_times=(ModelTime(model="A", time_ms=draw(st.integers(0, 9000))),),
            )
        )
    return Product(code="P", tasks=tuple(tasks))


def reach(product: Product, of: set[str]) -> set[tuple[str, str]]:
    """Return all pairs (before, after) of some tasks, over whatever path."""
    after: dict[str, list[str]] = {}
    for task in product.tasks:
        for number in task.predecessors:
            after.setdefault(number, []).append(task.number)
    pairs = set()
    for start in of:
        waiting, seen = [start], {start}
        while waiting:
            for number in after.get(waiting.pop(), ()):
                if number not in seen:
                    seen.add(number)
                    waiting.append(number)
        pairs |= {(start, number) for number in seen & of if number != start}
    return pairs


def work(product: Product, model: str = "") -> int:
    """Return the work content in ms."""
    return sum(task.time_ms_for(model) or 0 for task in product.tasks)


def numbers(product: Product) -> set[str]:
    return {task.number for task in product.tasks}


@st.composite
def splits(draw: st.DrawFn) -> tuple[Product, int, list[int]]:
    product = draw(lines_of_work())
    place = draw(st.integers(0, len(product.tasks) - 1))
    total = product.tasks[place].time_ms or 0
    cuts = sorted(draw(st.sets(st.integers(1, total - 1), min_size=1, max_size=4)))
    ends = [*cuts, total]
    return product, place, [b - a for a, b in zip([0, *cuts], ends, strict=True)]


@given(splits())
def test_a_split_keeps_the_work_content(case):
    product, place, times = case
    after = split_by_times(product, place, times).product
    assert (work(after), work(after, "A")) == (work(product), work(product, "A"))


@given(splits())
def test_a_split_keeps_the_order_of_all_other_tasks(case):
    product, place, times = case
    after = split_by_times(product, place, times).product
    others = numbers(product) - {product.tasks[place].number}
    assert reach(after, others) == reach(product, others)


@given(splits())
def test_a_split_keeps_the_times_of_the_steps(case):
    product, place, times = case
    after = split_by_times(product, place, times).product
    before_ms, after_ms = (
        sum(s.time_ms or 0 for t in p.tasks for s in t.steps) for p in (product, after)
    )
    assert after_ms == before_ms


@given(splits())
def test_parts_merged_again_have_the_old_time_and_arrows(case):
    product, place, times = case
    cut = split_by_times(product, place, times).product
    whole = merge_tasks(cut, range(place, place + len(times))).product
    assert [(t.number, t.time_ms, t.predecessors, t.model_times) for t in whole.tasks] == [
        (t.number, t.time_ms, t.predecessors, t.model_times) for t in product.tasks
    ]


@given(lines_of_work(), st.data())
def test_a_merge_keeps_the_work_content_and_no_order_is_lost(product, data):
    some = st.sets(st.integers(0, len(product.tasks) - 1), min_size=2, max_size=3)
    places = data.draw(some)
    try:
        after = merge_tasks(product, places).product
    except TaskChangeError:
        return
    others = numbers(product) - {product.tasks[at].number for at in places}
    assert (work(after), work(after, "A")) == (work(product), work(product, "A"))
    assert reach(after, others) >= reach(product, others)


@given(lines_of_work(), st.data())
def test_a_merge_closes_no_circle(product, data):
    some = st.sets(st.integers(0, len(product.tasks) - 1), min_size=2, max_size=4)
    try:
        after = merge_tasks(product, data.draw(some)).product
    except TaskChangeError:
        return
    pairs = reach(after, numbers(after))
    assert not [pair for pair in pairs if (pair[1], pair[0]) in pairs]


@given(lines_of_work(), st.integers(0, 7))
def test_a_copy_merged_with_the_original_adds_its_time_and_no_order(product, place):
    place %= len(product.tasks)
    copied = duplicate_task(product, place).product
    after = merge_tasks(copied, [place, place + 1]).product
    assert work(after) == work(product) + (product.tasks[place].time_ms or 0)
    assert arrows(after) == arrows(product)


@given(lines_of_work(), st.integers(0, 50), st.integers(1, 20), st.integers(0, 4))
def test_new_numbers_keep_the_order_of_the_tasks(product, start, step, width):
    after = renumber_line(product, MAIN_LINE, start=start, step=step, width=width).product
    new = dict(zip([t.number for t in product.tasks], [t.number for t in after.tasks], strict=True))
    expected = {(new[a], new[b]) for a, b in reach(product, numbers(product))}
    assert reach(after, numbers(after)) == expected


@given(lines_of_work(), st.data())
def test_a_healed_deletion_keeps_the_order_of_all_other_tasks(product, data):
    places = data.draw(st.sets(st.integers(0, len(product.tasks) - 1), min_size=1, max_size=4))
    after = delete_tasks(product, places, heal=True).product
    others = numbers(after)
    assert reach(after, others) == reach(product, others)
