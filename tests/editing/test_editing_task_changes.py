"""Insert, duplicate, move, take out tasks; what comes before and after; numbers.

Expected values are worked out by hand on the small products; the rules are common
practice, no source.
"""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, BROKEN, LAMP

from stationflow.editing import task_changes as changes
from stationflow.editing.renaming import renumbered
from stationflow.editing.renumbering import number_between, read_numbers, renumber_line
from stationflow.editing.task_mentions import TaskChangeError
from stationflow.model import Product, Task, TaskLimits, TimeLag


def arrows(product: Product) -> dict[str, tuple[str, ...]]:
    return {task.number: task.predecessors for task in product.tasks}


def numbers(product: Product) -> list[str]:
    return [task.number for task in product.tasks]


@pytest.mark.parametrize(
    ("low", "high", "taken", "number"),
    [
        ("10", "20", {"10", "20"}, "15"),
        ("10", "20", {"10", "15", "20"}, "14"),
        ("10", "11", {"10", "11"}, "20"),
        ("", "10", {"10"}, "5"),
        ("10", "", {"10"}, "20"),
        ("010", "020", {"010", "020"}, "015"),
        ("b1", "b2", {"b1", "b2", "b3"}, "b4"),
        ("b1", "b5", {"b1", "b5"}, "b3"),
        ("x", "y", {"x", "y"}, "10"),
        ("20", "10", {"10", "20"}, "30"),
        ("", "", set(), "10"),
    ],
)
def test_a_number_between_two_is(low, high, taken, number):
    assert number_between(low, high, taken) == number


def test_an_inserted_task_stands_before_the_other():
    assert numbers(changes.insert_task(LAMP, 1, after=False).product)[:3] == ["10", "15", "20"]


def test_an_inserted_task_stands_after_the_other():
    change = changes.insert_task(LAMP, 4, after=True)
    assert numbers(change.product)[-2:] == ["50", "60"]


def test_an_inserted_task_is_on_the_line_of_the_other():
    change = changes.insert_task(BOARD_LAMP, 5, after=True)
    assert (change.product.tasks[6].number, change.product.tasks[6].line) == ("b4", "board")


def test_an_inserted_task_has_no_arrows():
    assert changes.insert_task(LAMP, 1, after=True).product.tasks[2].predecessors == ()


def test_a_copy_waits_for_the_same_tasks():
    assert changes.duplicate_task(LAMP, 3).product.tasks[4].predecessors == ("20", "30")


def test_no_task_waits_for_a_copy():
    change = changes.duplicate_task(LAMP, 3)
    assert changes.followers_of(change.product, change.product.tasks[4].number) == ()


def test_a_copy_has_everything_of_the_original():
    change = changes.duplicate_task(LAMP, 0)
    assert change.product.tasks[1] == replace(LAMP.tasks[0], number="15")


def test_a_task_moved_up_is_listed_before_its_neighbour():
    assert numbers(changes.move_task(LAMP, 1, -1).product) == ["20", "10", "30", "40", "50"]


def test_a_moved_task_keeps_its_arrows():
    assert arrows(changes.move_task(LAMP, 1, -1).product) == arrows(LAMP)


def test_the_first_task_cannot_be_moved_up():
    with pytest.raises(TaskChangeError, match="Task 10 is the first of line main already"):
        changes.move_task(LAMP, 0, -1)


def test_a_task_is_moved_among_the_tasks_of_its_own_line():
    with pytest.raises(TaskChangeError, match="Task b1 is the first of line board"):
        changes.move_task(BOARD_LAMP, 5, -1)


def test_a_deleted_task_hands_its_arrows_on():
    change = changes.delete_tasks(LAMP, [1], heal=True)
    assert arrows(change.product)["40"] == ("10", "30")


def test_a_deleted_task_takes_its_arrows_with_it():
    change = changes.delete_tasks(LAMP, [1], heal=False)
    assert arrows(change.product)["40"] == ("30",)


def test_two_deleted_tasks_in_a_row_hand_their_arrows_on():
    change = changes.delete_tasks(LAMP, [1, 2, 3], heal=True)
    assert arrows(change.product) == {"10": (), "50": ("10",)}


def test_a_deleted_task_takes_its_times_between_tasks_with_it():
    assert changes.delete_tasks(BOARD_LAMP, [4], heal=True).product.lags == ()


def test_a_time_between_tasks_that_goes_is_told():
    assert "1 time between tasks goes too" in changes.delete_tasks(BOARD_LAMP, [4], heal=True).words


def test_the_join_of_a_feeder_that_is_deleted_is_told():
    words = changes.delete_tasks(BOARD_LAMP, [2], heal=True).words
    assert words.endswith("Line board still names it: choose another task there.")


def test_deleting_one_of_two_tasks_with_one_number_keeps_the_arrows_to_the_other():
    product = replace(BROKEN, tasks=(*BROKEN.tasks, replace(LAMP.tasks[0], predecessors=("50",))))
    assert changes.delete_tasks(product, [5], heal=False).product.tasks[-1].predecessors == ("50",)


def test_healing_a_circle_lets_no_task_wait_for_itself():
    assert changes.delete_tasks(BROKEN, [0], heal=True).product.tasks[0].predecessors == ()


def test_after_a_deletion_the_task_listed_next_is_chosen():
    change = changes.delete_tasks(LAMP, [1], heal=True)
    assert change.product.tasks[change.chosen or 0].number == "30"


def test_after_the_last_task_is_deleted_none_is_chosen():
    assert changes.delete_tasks(LAMP, [0, 1, 2, 3, 4], heal=True).chosen is None


def test_predecessors_are_set():
    assert arrows(changes.with_predecessors(LAMP, 4, ["40", "10"]).product)["50"] == ("40", "10")


def test_a_follower_that_is_added_waits_for_the_task():
    assert arrows(changes.with_followers(LAMP, 1, ["40", "50"]).product)["50"] == ("40", "20")


def test_a_follower_that_is_taken_away_waits_no_more():
    assert arrows(changes.with_followers(LAMP, 1, []).product)["40"] == ("30",)


def test_a_line_is_numbered_anew_in_listed_order():
    change = renumber_line(LAMP, "main", start=5, step=5, width=3)
    assert numbers(change.product) == ["005", "010", "015", "020", "025"]


def test_arrows_follow_numbers_that_change_places():
    change = renumber_line(LAMP, "main", start=20, step=10)
    assert arrows(change.product) == {
        "20": (),
        "30": ("20",),
        "40": ("20",),
        "50": ("30", "40"),
        "60": ("50",),
    }


def test_the_join_follows_a_new_number():
    change = renumber_line(BOARD_LAMP, "main", start=1, step=1)
    assert change.product.lines[1].join == "3"


def test_times_between_tasks_follow_a_new_number():
    change = renumber_line(BOARD_LAMP, "main", start=1, step=1)
    assert change.product.lags == (TimeLag(before="3", after="5", shortest_ms=60_000),)


def test_limits_follow_a_new_number():
    tasks = (*LAMP.tasks[:4], replace(LAMP.tasks[4], limits=TaskLimits(apart=("40",))))
    change = renumber_line(replace(LAMP, tasks=tasks), "main", start=1, step=1)
    assert change.product.tasks[4].limits.apart == ("4",)


def test_a_number_of_another_line_is_refused():
    with pytest.raises(TaskChangeError, match="The number 10 belongs to the task “Place base”"):
        renumber_line(BOARD_LAMP, "board", start=10, step=10)


def test_the_refusal_of_a_number_names_a_free_start():
    with pytest.raises(TaskChangeError, match="Start at 60"):
        renumber_line(BOARD_LAMP, "board", start=10, step=10)


def test_a_number_that_another_task_still_bears_is_not_carried_along():
    # Of two tasks 10 one became 15; the arrow may mean the other.
    tasks = (Task(number="10"), Task(number="15"), Task(number="20", predecessors=("10",)))
    product = Product(code="P", tasks=tasks)
    assert renumbered(product, {"10": "15"}) == product


def test_two_tasks_of_one_number_get_one_each():
    change = renumber_line(BROKEN, "main")
    assert numbers(change.product) == ["10", "20", "30", "40", "50", "60"]


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("10, 20", ("10", "20")),
        ("10; 20-40", ("10", "20", "30", "40")),
        ("10, 20-40", ("10", "20", "30", "40")),
        ("20 - 40", ("20", "30", "40")),
        ("20\N{EN DASH}40", ("20", "30", "40")),
        ("40-20", ("20", "30", "40")),
        ("20-99", ("20-99",)),
        ("10-20, 20-30", ("10", "20", "30")),
        ("", ()),
        ("-", ("-",)),
        ("40-50", ("40",)),  # the text stands at task 50, which cannot wait for itself
    ],
)
def test_typed_numbers_mean(typed, read):
    assert read_numbers(typed, LAMP, own="50") == read


def test_a_number_with_a_dash_is_no_range():
    product = replace(LAMP, tasks=(*LAMP.tasks, replace(LAMP.tasks[0], number="10-20")))
    assert read_numbers("10-20", product) == ("10-20",)


def test_a_range_of_numbers_with_dashes():
    tasks = tuple(replace(LAMP.tasks[i], number=f"A-{i}") for i in range(4))
    assert read_numbers("A-1-A-3", replace(LAMP, tasks=tasks)) == ("A-1", "A-2", "A-3")


def test_a_range_stays_on_one_line():
    mixed = replace(BOARD_LAMP, tasks=(*LAMP.tasks[:1], *BOARD_LAMP.tasks[5:], *LAMP.tasks[1:]))
    assert read_numbers("10-20", mixed) == ("10", "20")
