"""Places of tasks and ways of arrows: what must hold for any line. Lines are made at random."""

from itertools import combinations, pairwise
from random import Random

import pytest

from stationflow.drawing.diagram.diagram_grid import Grid, task_grid
from stationflow.drawing.diagram.diagram_lanes import Placed, Point, placed_diagram

WIDTH, HEIGHT = 80.0, 30.0
Arrow = tuple[int, int]
Box = tuple[float, float, float, float]


def made_line(seed: int) -> tuple[tuple[tuple[int, ...], ...], list[Arrow]]:
    """Return predecessors and arrows of a line of 2 to 90 tasks, from sparse to dense."""
    random = Random(seed)
    tasks, reach = random.randint(2, 90), random.choice((3, 8, 40))
    before = tuple(
        tuple(sorted(random.sample(range(max(0, at - reach), at),
                                   min(at, reach, random.randint(0, 3)))))
        for at in range(tasks)
    )  # fmt: skip
    return before, [(a, b) for b, row in enumerate(before) for a in row]


def drawn(seed: int, *, more: tuple[Arrow, ...] = ()) -> tuple[Grid, Placed]:
    before, arrows = made_line(seed)
    grid = task_grid(before, arrows, (WIDTH, HEIGHT))
    path = [arrows[0], *(a for a in arrows if a[0] == arrows[0][1])][:2] if arrows else []
    return grid, placed_diagram(grid, [*arrows, *more], (WIDTH, HEIGHT), path)


def box(start: Point, end: Point) -> Box:
    return (min(start[0], end[0]), min(start[1], end[1]),
            max(start[0], end[0]), max(start[1], end[1]))  # fmt: skip


def is_crossed(centre: Point, segment: Box) -> bool:
    x, y = centre
    left, low, right, high = segment
    beside = left > x + WIDTH / 2 - 0.1 or right < x - WIDTH / 2 + 0.1
    return not beside and low < y + HEIGHT / 2 - 0.1 and high > y - HEIGHT / 2 + 0.1


def is_on_top(one: Box, other: Box) -> bool:
    """Whether two straight pieces lie on one line and share more than a point."""
    for axis in (0, 1):
        along = 1 - axis
        spread = max(one[axis + 2], other[axis + 2]) - min(one[axis], other[axis])
        shared = min(one[along + 2], other[along + 2]) - max(one[along], other[along])
        if spread < 0.5 and shared > 0.5:
            return True
    return False


@pytest.mark.parametrize("seed", range(40))
def test_a_task_stands_after_its_predecessors(seed: int):
    cells = drawn(seed)[0].cells
    _, arrows = made_line(seed)
    assert all((cells[a].band, cells[a].column) < (cells[b].band, cells[b].column)
               for a, b in arrows)  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_no_two_tasks_have_one_place(seed: int):
    cells = drawn(seed)[0].cells
    assert len(set(cells)) == len(cells)


@pytest.mark.parametrize("seed", range(40))
def test_no_two_nodes_touch(seed: int):
    centres = drawn(seed)[1].centres
    assert all(abs(a[0] - b[0]) > WIDTH or abs(a[1] - b[1]) > HEIGHT
               for a, b in combinations(centres, 2))  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_no_arrow_runs_through_a_node(seed: int):
    placed = drawn(seed)[1]
    pieces = [box(*ends) for way in placed.routes.values() for ends in pairwise(way)]
    assert not [p for p in pieces for centre in placed.centres if is_crossed(centre, p)]


@pytest.mark.parametrize("seed", range(40))
def test_arrows_without_a_common_task_never_run_on_top_of_each_other(seed: int):
    pieces = [(arrow, box(*ends)) for arrow, way in drawn(seed)[1].routes.items()
              for ends in pairwise(way)]  # fmt: skip
    assert not [(a, b) for (a, one), (b, other) in combinations(pieces, 2)
                if not set(a) & set(b) and is_on_top(one, other)]  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_every_way_leads_along_and_up_or_down_only(seed: int):
    ways = drawn(seed)[1].routes.values()
    assert all(min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 0.02
               for way in ways for a, b in pairwise(way))  # fmt: skip


@pytest.mark.parametrize("seed", range(10))
def test_an_arrow_that_goes_back_is_given_a_way(seed: int):
    last = len(made_line(seed)[0]) - 1
    assert len(drawn(seed, more=((last, 0),))[1].routes[last, 0]) >= 2


def test_an_arrow_to_its_own_task_goes_round_it():
    assert len(drawn(3, more=((1, 1),))[1].routes[1, 1]) >= 4


def test_tasks_without_arrows_fill_the_shape_of_a_page():
    grid = task_grid(((),) * 60, [], (WIDTH, HEIGHT))
    assert 1 <= (max(grid.columns) * WIDTH) / (sum(grid.rows) * HEIGHT) <= 4


def test_parallel_tasks_stand_above_each_other():
    # One task, six after it, one after those: three columns, worked out by hand.
    before = ((), *(((0,),) * 6), tuple(range(1, 7)))
    arrows = [(a, b) for b, row in enumerate(before) for a in row]
    assert task_grid(before, arrows, (WIDTH, HEIGHT)).columns == (3,)
