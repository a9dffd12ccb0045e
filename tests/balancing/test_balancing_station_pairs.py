"""Stations of two plans are paired by what they hold. All values worked out by hand."""

from hypothesis import given
from hypothesis import strategies as st
from small_plans import station

from stationflow.balancing.compare.station_pairs import TaskMove, pair_stations, task_moves
from stationflow.model import Station


def stations(*held: str) -> list[Station]:
    """Return stations from texts of one-letter tasks: "ab" holds a and b."""
    return [station(n, row) for n, row in enumerate(held, 1)]


def moved(base: list[Station], other: list[Station]) -> list[str]:
    return [move.task for move in task_moves(base, other, pair_stations(base, other))]


def test_equal_plans_are_paired_number_by_number():
    assert pair_stations(stations("ab", "c"), stations("ab", "c")) == ((1, 1), (2, 2))


def test_a_station_put_in_front_moves_only_its_own_task():
    assert moved(stations("ab", "cd", "ef"), stations("a", "b", "cd", "ef")) == ["b"]


def test_a_station_taken_out_shifts_the_numbers_behind_it():
    pairs = pair_stations(stations("ab", "c", "de"), stations("abc", "de"))
    assert pairs == ((1, 1), (3, 2))


def test_stations_that_changed_places_are_paired_across():
    assert pair_stations(stations("ab", "cd"), stations("cd", "ab")) == ((1, 2), (2, 1))


def test_the_pairs_together_keep_most_tasks_in_place():
    # 1-1 alone keeps two tasks; 1-2 and 2-1 keep one and two: three
    assert pair_stations(stations("abc", "de"), stations("abde", "c")) == ((1, 2), (2, 1))


def test_of_equal_pairings_the_nearer_numbers_are_taken():
    assert pair_stations(stations("x", "ab"), stations("a", "b", "x"))[1] == (2, 2)


def test_stations_that_share_nothing_have_no_partner():
    assert pair_stations(stations("a"), stations("b")) == ()


def test_a_task_that_is_gone_and_one_that_is_new_are_named():
    base, other = stations("ab"), stations("ac")
    moves = task_moves(base, other, pair_stations(base, other))
    assert moves == (TaskMove(task="b", base=1, other=None), TaskMove(task="c", base=None, other=1))


def test_an_empty_plan_has_no_pairs():
    assert pair_stations([], stations("a")) == ()


PLANS = st.lists(st.integers(0, 4), min_size=8, max_size=8).map(
    lambda at: stations(*("".join(t for t, k in zip("abcdefgh", at, strict=True) if k == n)
                          for n in sorted(set(at))))
)  # fmt: skip


@given(PLANS, PLANS)
def test_as_many_tasks_sit_elsewhere_whichever_plan_is_the_base(one, two):
    assert len(moved(one, two)) == len(moved(two, one))


@given(PLANS, PLANS)
def test_no_station_has_two_partners(one, two):
    pairs = pair_stations(one, two)
    assert len({a for a, _ in pairs}) == len({b for _, b in pairs}) == len(pairs)


@given(PLANS, PLANS)
def test_pairing_by_number_never_keeps_more_in_place(one, two):
    by_number = [(a.number, a.number) for a in one[: len(two)]]
    assert len(moved(one, two)) <= len(task_moves(one, two, by_number))
