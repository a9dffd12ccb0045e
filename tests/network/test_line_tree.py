"""The tree of lines. Quantities are worked out by hand."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from stationflow.model import FurtherJoin, Line, Product
from stationflow.network.line_tree import line_tree, units_per_start

LINES = (
    Line(name="coil", feeds="board", quantity=3),
    Line(),
    Line(name="board", feeds="main", quantity=2),
    Line(name="lost", feeds="nowhere"),
    Line(name="one", feeds="two"),
    Line(name="two", feeds="one"),
    Line(name="astray", feeds="one"),
)
TREE = line_tree(Product(code="P", lines=LINES))


@pytest.mark.parametrize(
    ("line", "fed"),
    [("coil", ("board", "main")), ("main", ()), ("lost", ()), ("astray", ("one", "two"))],
)
def test_a_line_leads_over_the_lines_it_feeds(line: str, fed: tuple[str, ...]):
    assert TREE.fed(line) == fed


@pytest.mark.parametrize("line", ["lost", "one", "astray", "unknown"])
def test_a_line_that_leads_nowhere_has_no_way_to_the_main_line(line: str):
    assert TREE.way_to_main(line) == ()


@pytest.mark.parametrize(
    ("line", "circle"), [("one", ("one", "two")), ("two", ("two", "one")), ("astray", ())]
)
def test_a_circle_is_told_to_the_lines_on_it_alone(line: str, circle: tuple[str, ...]):
    assert TREE.circle(line) == circle


@pytest.mark.parametrize(("line", "units"), [("main", 1), ("board", 2), ("coil", 6)])
def test_units_per_product_follow_the_way(line: str, units: int):
    assert TREE.units_per_product(line) == Decimal(units)


def test_a_line_in_a_circle_has_no_units_per_product():
    assert TREE.units_per_product("one") is None


def test_replacements_are_in_the_units_of_a_start():
    # By hand: 2 x (1 + 0.02) = 2.04.
    assert units_per_start(Line(quantity=2, replacement_share=0.02)) == Fraction("2.04")


def test_of_two_lines_of_one_name_the_first_counts():
    lines = (Line(), Line(title="again"))
    assert line_tree(Product(code="P", lines=lines)).lines["main"].title == ""


# A coil goes three times into the board, twice of which make a product, and once more into it.
SHARED = Product(
    code="P",
    lines=(Line(name="coil", feeds="board", quantity=3), *LINES[1:3]),
    joins=(FurtherJoin(line="coil", feeds="main", join="40", quantity=1),),
)


def test_a_feeder_of_two_lines_leads_over_both_the_nearer_first():
    assert line_tree(SHARED).fed("coil") == ("board", "main")


def test_units_per_product_are_added_over_the_joins():
    assert line_tree(SHARED).units_per_product("coil") == 7  # 2 x 3 + 1


def test_a_further_join_may_close_a_circle():
    joins = (FurtherJoin(line="main", feeds="coil", join="1"),)
    assert set(line_tree(replace(SHARED, joins=joins)).circle("main")) == {"main", "coil", "board"}


def test_a_line_of_which_one_join_is_unknown_leads_nowhere():
    joins = (FurtherJoin(line="coil", feeds="nowhere", join="1"),)
    assert line_tree(replace(SHARED, joins=joins)).way_to_main("coil") == ()


def test_the_feeders_of_a_line_are_its_joins():
    assert [join.line for join in line_tree(SHARED).feeders("main")] == ["coil", "board"]
