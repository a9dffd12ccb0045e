"""Checks on lines. Each case is a small product broken by hand."""

from dataclasses import replace

import pytest

from stationflow.model import FurtherJoin, Line, Product, Task
from stationflow.network.joins import check_lines

MAIN = Line()
BOARD = Line(name="board", feeds="main", join="20")
TASKS = (
    Task(number="10"),
    Task(number="20", predecessors=("10",)),
    Task(number="30", predecessors=("20",)),
    Task(number="B1", line="board"),
)
SOUND = Product(code="P", lines=(MAIN, BOARD), tasks=TASKS)


def codes(product: Product) -> list[str]:
    return [finding.code for finding in check_lines(product)]


def with_arrow(before: str, after: str, product: Product = SOUND) -> Product:
    tasks = tuple(
        replace(t, predecessors=(*t.predecessors, before)) if t.number == after else t
        for t in product.tasks
    )
    return replace(product, tasks=tasks)


def with_board(**facts: object) -> Product:
    return replace(SOUND, lines=(MAIN, replace(BOARD, **facts)))


def with_loom(**facts: str) -> Product:
    loom = replace(Line(name="loom", feeds="board", join="B1"), **facts)
    return replace(SOUND, lines=(MAIN, BOARD, loom), tasks=(*TASKS, Task(number="L1", line="loom")))


@pytest.mark.parametrize("product", [SOUND, with_loom()])
def test_a_sound_product_has_no_findings(product: Product):
    assert codes(product) == []


def test_two_main_lines_are_named():
    assert codes(with_board(feeds="", join="")) == ["no-main-line"]


def test_a_product_without_lines_has_no_main_line():
    assert codes(Product(code="P", lines=())) == ["no-main-line"]


def test_two_lines_of_one_name_are_named():
    assert codes(replace(SOUND, lines=(MAIN, BOARD, BOARD))) == ["duplicate-line"]


def test_a_line_that_feeds_an_unknown_line_is_named():
    assert "unknown-line" in codes(with_board(feeds="mian"))


def test_a_circle_of_lines_is_named_once():
    product = replace(with_loom(), lines=(MAIN, replace(BOARD, feeds="loom", join="L1"),
                                          Line(name="loom", feeds="board", join="B1")))  # fmt: skip
    assert codes(product).count("line-circle") == 1


def test_a_line_that_feeds_itself_is_a_circle():
    assert "line-circle" in codes(with_board(feeds="board", join="B1"))


def test_a_line_that_leads_into_a_circle_is_not_part_of_it():
    one, two = Line(name="one", feeds="two"), Line(name="two", feeds="one")
    product = Product(code="P", lines=(MAIN, one, two, Line(name="three", feeds="one")))
    assert codes(product).count("line-circle") == 1


def test_the_circle_is_written_out():
    one, two = Line(name="one", feeds="two"), Line(name="two", feeds="one")
    found = check_lines(Product(code="P", lines=(MAIN, one, two)))
    assert any("one -> two -> one" in finding.message for finding in found)


def test_a_feeder_without_a_join_is_named():
    assert codes(with_board(join="")) == ["feeder-without-join"]


@pytest.mark.parametrize("join", ["99", "B1"])
def test_a_join_that_is_not_on_the_fed_line_is_named(join: str):
    assert codes(with_board(join=join)) == ["unknown-join"]


def test_a_line_without_tasks_is_named():
    assert codes(replace(SOUND, tasks=TASKS[:3])) == ["empty-line"]


@pytest.mark.parametrize("after", ["20", "30"])
def test_an_arrow_from_a_feeder_to_the_join_or_after_it_is_allowed(after: str):
    assert codes(with_arrow("B1", after)) == []


def test_an_arrow_from_a_feeder_to_a_task_before_the_join_is_named():
    assert codes(with_arrow("B1", "10")) == ["arrow-past-join"]


def test_an_arrow_back_to_the_feeder_is_named():
    assert codes(with_arrow("10", "B1")) == ["arrow-to-feeder"]


def test_an_arrow_back_to_the_feeder_of_a_feeder_is_named():
    assert codes(with_arrow("10", "L1", with_loom())) == ["arrow-to-feeder"]


def test_an_arrow_that_passes_over_a_line_is_named():
    assert codes(with_arrow("L1", "30", with_loom())) == ["arrow-past-join"]


def test_an_arrow_between_two_feeders_is_named():
    assert codes(with_arrow("L1", "B1", with_loom(feeds="main", join="20"))) == ["arrow-past-join"]


def test_a_missing_join_is_not_named_again_at_every_arrow():
    assert codes(with_arrow("B1", "10", with_board(join=""))) == ["feeder-without-join"]


def joined(*joins: FurtherJoin, product: Product = SOUND) -> Product:
    return replace(product, joins=joins)


FURTHER = FurtherJoin(line="board", feeds="main", join="30")


def test_a_feeder_may_join_twice():
    assert codes(joined(FURTHER)) == []


def test_one_join_entered_twice_is_named():
    assert codes(joined(replace(FURTHER, join="20"))) == ["join-twice"]


@pytest.mark.parametrize("join", ["99", "B1"])
def test_a_further_join_that_is_not_on_the_fed_line_is_named(join: str):
    assert codes(joined(replace(FURTHER, join=join))) == ["unknown-join"]


def test_a_further_join_without_a_task_is_named():
    assert codes(joined(replace(FURTHER, join=""))) == ["feeder-without-join"]


def test_a_further_join_on_an_unknown_line_is_named():
    assert "unknown-line" in codes(joined(replace(FURTHER, feeds="mian")))


def test_a_circle_by_a_further_join_is_named():
    further = FurtherJoin(line="board", feeds="loom", join="L1")
    assert "line-circle" in codes(joined(further, product=with_loom()))


def test_an_arrow_to_the_line_of_a_further_join_is_allowed():
    further = FurtherJoin(line="loom", feeds="main", join="30")
    assert codes(joined(further, product=with_arrow("L1", "30", with_loom()))) == []


def test_an_arrow_after_any_of_two_joins_is_allowed():
    assert codes(joined(replace(FURTHER, join="10"), product=with_arrow("B1", "10"))) == []


def test_a_bought_in_feeder_needs_no_tasks():
    product = replace(with_board(bought_in=True), tasks=TASKS[:3])
    assert codes(product) == []


def test_tasks_on_a_bought_in_feeder_are_named():
    assert codes(with_board(bought_in=True)) == ["line-bought-in"]


def test_a_main_line_cannot_be_bought_in():
    assert codes(replace(SOUND, lines=(replace(MAIN, bought_in=True), BOARD))) == ["line-bought-in"]
