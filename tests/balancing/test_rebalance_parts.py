"""Around the least upheaval: which station is which, cut-over, people, the front, in words."""

from dataclasses import replace
from itertools import product as every
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from limited_lines import line
from small_products import LAMP

from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.rebalance.cut_over import cut_over
from stationflow.balancing.rebalance.front import rebalance_front
from stationflow.balancing.rebalance.old_plan import old_plan
from stationflow.balancing.rebalance.people import fewest_people
from stationflow.balancing.rebalance.rebalance_words import moves_words, station_words
from stationflow.balancing.rebalance.rebalancing import (
    cut_over_steps,
    rebalance,
    rebalance_product,
)
from stationflow.balancing.rebalance.stretches import improved
from stationflow.balancing.rebalance.upheaval import Turnover, belongings
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import (
    BalanceSettings,
    Line,
    Move,
    Rebalanced,
    RebalanceSettings,
    StationTime,
    Task,
    TaskLimits,
    ToolUse,
    Upheaval,
)
from stationflow.model.plan import MOVES_ALONE

FOUR = [
    GivenStation(1, ("10",)),
    GivenStation(2, ("20",)),
    GivenStation(3, ("30", "40")),
    GivenStation(4, ("50",)),
]
"""The lamp at four stations; its times and order are in small_products."""


def stations(*rows: str) -> list[GivenStation]:
    """Return stations from 1 with tasks T0, T1 ... of a few digits each."""
    return [GivenStation(n, tuple(f"T{d}" for d in row)) for n, row in enumerate(rows, 1)]


def test_the_old_plan_as_it_is_needs_no_solver():
    made = rebalance_product(LAMP, "main", FOUR, BalanceSettings(limit=60, stations=4))
    assert (made.rebalanced.moves, made.rebalanced.is_least) == ((), True)
    assert made.effort.engine.startswith("stationflow")


def test_a_station_may_be_inserted_and_the_others_keep_their_place():
    # By hand: T1 and T2 no longer fit together (5 + 4 > 8); one of them gets a new station
    # between the two old ones, and nothing else moves.
    work = line([7, 5, 4, 8], (0, 1), (1, 2), (2, 3))
    made = rebalance(work, stations("0", "12", "3"), BalanceSettings(limit=8)).rebalanced
    assert made.was in {(1, 2, None, 3), (1, None, 2, 3)}
    assert len(made.moves) == 1
    assert station_words(made)[1] == "Renumbered: old station 3 is now 4."


def test_old_numbers_with_gaps_are_kept():
    work = line([7, 5, 4, 8], (0, 1), (1, 2), (2, 3))
    old = [GivenStation(2, ("T0",)), GivenStation(5, ("T1", "T2")), GivenStation(9, ("T3",))]
    made = rebalance(work, old, BalanceSettings(limit=9)).rebalanced
    assert (made.was, made.moves) == ((2, 5, 9), ())


def test_an_unmoved_station_keeps_the_order_of_its_tasks():
    work = line([1, 1, 1], (0, 1))
    made = rebalance(work, stations("201"), BalanceSettings(limit=3))
    assert made.stations[0].tasks == ("T2", "T0", "T1")


def test_an_old_plan_against_the_order_is_put_right():
    work = line([5, 5], (0, 1))
    made = rebalance(work, stations("1", "0"), BalanceSettings(limit=5)).rebalanced
    # By hand: one task keeps its place, the other goes to a new station.
    assert (len(made.moves), len(made.closed), made.was.count(None)) == (1, 1, 1)


@given(
    st.lists(st.integers(0, 4), min_size=1, max_size=6),
    st.lists(st.integers(0, 4), min_size=1, max_size=6),
)
def test_no_way_to_tell_the_stations_saves_more(old_at, new_at):
    size = min(len(old_at), len(new_at))
    work = line([1] * size)
    held = [GivenStation(n, tuple(f"T{t}" for t in range(size) if old_at[t] == n - 1))
            for n in range(1, 6)]  # fmt: skip
    new = [[t for t in range(size) if new_at[t] == k] for k in range(5)]
    turnover = Turnover(old_plan(work, held), belongings(work, None), MOVES_ALONE)
    rising = [
        was
        for was in every([None, *range(5)], repeat=5)
        if (told := [at for at in was if at is not None]) == sorted(set(told))
    ]
    least = min(turnover.counted(new, was).moves for was in rising)
    assert turnover.counted(new, turnover.was(new)).moves == least


def test_a_walk_by_stretches_opens_a_few_stations_and_leaves_the_rest():
    plan = tuple((task,) for task in range(6))
    asked = []

    def ask(now, places, seconds):
        asked.append([place for place in places if place[0] < place[1]])
        return ((0, 1), *now[1:]) if len(asked) == 1 else ()

    best = improved(plan, 6, inf, ask, lambda each: 9 - len(each[0]), lambda: False)
    # By hand: six stations are walked in stretches of four that begin two apart, until a walk
    # brings nothing.
    assert best[0] == (0, 1)
    assert [row[0] for row in asked] == [(1, 4), (3, 6)] * 2


TOOLS = tuple(
    Task(
        number=number,
        time_ms=30_000,
        tools=tuple(ToolUse(tool=name) for name in tools),
        limits=TaskLimits(skill=skill),
    )
    for number, tools, skill in (
        ("a", ["press"], ""),
        ("b", ["press", "oven"], "solder"),
        ("c", ["oven"], "solder"),
        ("d", [], ""),
    )
)


def test_what_a_plan_turns_over_is_counted():
    work, _ = line_work(replace(LAMP, tasks=TOOLS, parts=(), pictures=()), "main")
    having = belongings(work, replace(LAMP, tasks=TOOLS))
    turnover = Turnover(
        old_plan(work, [GivenStation(1, ("a", "b")), GivenStation(2, ("c", "d"))]),
        having,
        MOVES_ALONE,
    )
    # By hand: a b | c d becomes a | b c d with both places kept: b moves; station 1 no longer
    # needs the oven, station 2 gets the press; soldering is known there; both cards are others.
    assert turnover.counted([[0], [1, 2, 3]], (0, 1)) == Upheaval(
        moves=1, tools=2, skills=0, cards=2
    )
    # With the second one new: b, c, d move; station 1 loses the oven, the new one gets both tools
    # and the skill, and the closed one no longer needs its oven.
    assert turnover.counted([[0], [1, 2, 3]], (0, None)) == Upheaval(
        moves=3, tools=4, skills=1, cards=2
    )


@pytest.mark.parametrize("kind", ["moves", "tools", "skills", "cards"])
def test_each_weight_alone_makes_that_least(kind):
    """Held against all plans of the four tasks at 90 s, and all ways to tell their stations."""
    product = replace(LAMP, tasks=TOOLS, parts=(), pictures=())
    old = [GivenStation(1, ("a", "d")), GivenStation(2, ("b",)), GivenStation(3, ("c",))]
    weights = Upheaval(**{kind: 1})
    made = rebalance_product(
        product, "main", old, BalanceSettings(limit=90), weights=weights
    ).rebalanced
    work, _ = line_work(product, "main")
    turnover = Turnover(old_plan(work, old), belongings(work, product), weights)
    least = min(
        turnover.counted(plan, was).weighed(weights)
        for ends in every(range(2), repeat=4)
        if 1 <= sum(ends) <= 3
        for plan in [[[t for t in range(4) if ends[t] == k] for k in range(2)]]
        for was in every([None, 0, 1, 2], repeat=2)
        if (told := [at for at in was if at is not None]) == sorted(set(told))
    )
    assert (made.upheaval.weighed(weights), made.least, made.is_least) == (least, least, True)


def test_the_cut_over_keeps_the_order_and_the_limit_after_every_step():
    made = rebalance_product(LAMP, "main", FOUR, BalanceSettings(limit=60))
    work, _ = line_work(LAMP, "main")
    state = {number: row.number for row in FOUR for number in row.tasks}
    for step in cut_over_steps(work, FOUR, made, LAMP):
        for task, before, after in step.moved:
            assert before == f"station {state[task]}"
            state[task] = int(after.removeprefix("station "))
        rows = [[n for n in work.numbers if state[n] == k] for k in range(1, 5)]
        assert not verify(work, rows, limit=60)


def first_to_go(work: LineWork) -> str:
    """Return the first of T0 and T1, which change stations, 4 s each beside T2 and T3 of 4 s."""
    old = old_plan(work, stations("02", "13"))
    steps = cut_over(work, old, [[1, 2], [0, 3]], (0, 1), belongings(work, None), 14)
    return steps[0].moved[0][0]


def test_the_cut_over_counts_the_time_that_a_task_takes_at_its_station():
    # By hand, at 14 s: T0 takes 7 s at station 2 and would make it 15 s as long as T1 is there.
    work = line([4, 4, 4, 4])
    own = ((StationTime(station=2, time_ms=7),), (), (), ())
    limits = EnteredLimits(numbers=work.numbers, tasks=(TaskLimits(),) * 4, station_times=own)
    assert first_to_go(work) == "T0"
    assert first_to_go(replace(work, limits=limits)) == "T1"


def test_the_cut_over_counts_turn_overs():
    # By hand, at 14 s: T0 beside T3 is one turn of 3 s, 4 + 4 + 4 + 3 s as long as T1 is there.
    work = line([4, 4, 4, 4])
    ways = tuple(TaskLimits(attitude=way) for way in ("down", "", "", "up"))
    limits = EnteredLimits(numbers=work.numbers, tasks=ways, line=Line(turn_ms=3))
    assert first_to_go(replace(work, limits=limits)) == "T1"


def test_people_are_shared_out_by_what_stations_take_with_times_and_turns_of_their_own():
    # By hand: T0 takes 7 s at station 1; T1 and T2 are 4 + 4 s and a turn of 3 s. 7 + 11 s.
    work = line([4, 4, 4], (0, 1), (0, 2))
    ways = tuple(TaskLimits(attitude=way) for way in ("", "up", "down"))
    own = ((StationTime(station=1, time_ms=7),), (), ())
    limits = EnteredLimits(
        numbers=work.numbers, tasks=ways, station_times=own, line=Line(turn_ms=3)
    )
    work = replace(work, limits=limits)
    made = rebalance(work, stations("0", "12"), BalanceSettings(limit=11))
    assert [round.work for round in fewest_people(made.loads, 17)] == [7, 11]
    assert [round.work for round in fewest_people(made.loads, 18)] == [18]


def test_tasks_that_change_places_go_together():
    """By hand: T0 (5) and T1 (4) swap two full stations; neither can go alone at a limit of 9."""
    work = line([5, 4, 4, 5])
    old = old_plan(work, stations("02", "13"))
    (step,) = cut_over(work, old, [[1, 2], [0, 3]], (0, 1), belongings(work, None), 9)
    assert step.sentences == (
        "Move task T1 from station 2 to station 1.",
        "Move task T0 from station 1 to station 2.",
    )


def test_a_new_station_is_set_up_first_and_an_empty_one_closed():
    work = line([5, 4, 4, 5])
    old = old_plan(work, stations("0", "123"))
    steps = cut_over(work, old, [[0], [1], [2, 3]], (0, None, 1), belongings(work, None), 9)
    assert [step.sentences for step in steps] == [
        ("Set up the new station 2.", "Move task T1 from station 2 to the new station 2."),
    ]


def test_new_tasks_begin_last():
    work = line([5, 4], (0, 1))
    old = old_plan(work, [GivenStation(1, ()), GivenStation(2, ("T0",))])
    steps = cut_over(work, old, [[0], [1]], (0, 1), belongings(work, None), 9)
    assert [step.sentences for step in steps] == [
        ("Set up station 1.", "Move task T0 from station 2 to station 1."),
        ("Begin the new task T1 at station 2.",),
    ]


@given(st.lists(st.integers(1, 40), min_size=1, max_size=8), st.integers(40, 90), st.integers(0, 5))
def test_people_are_as_few_as_trying_every_cut_gives(loads, pace, walking):
    ways = []
    for cuts in every([False, True], repeat=len(loads) - 1):
        rounds = [[loads[0]]]
        for cut, load in zip(cuts, loads[1:], strict=True):
            if cut:
                rounds.append([load])
            else:
                rounds[-1].append(load)
        if all(sum(row) + 2 * walking * (len(row) - 1) <= pace for row in rounds):
            ways.append(len(rounds))
    assert len(fewest_people(loads, pace, walking)) == min(ways)


def test_a_station_over_the_pace_shares_no_people():
    assert fewest_people([30, 70], 60) is None


def test_the_front_has_fewer_stations_with_more_moves():
    made = rebalance_front(LAMP, "main", FOUR, RebalanceSettings(limit=60))
    said = [(len(r.stations), len(r.rebalanced.moves)) for r in made]
    assert said == [(4, 0), (3, 1)]


def test_the_front_of_an_impossible_question_says_why():
    (made,) = rebalance_front(LAMP, "main", FOUR, RebalanceSettings(limit=20))
    assert {finding.code for finding in made.findings} == {"task-longer-than-limit"}


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (Rebalanced(is_least=True), "No task moves."),
        (
            Rebalanced(moves=(Move(task="1", old=1, new=2),), is_least=True),
            "1 task moves. Proven: no such plan moves fewer.",
        ),
        (
            Rebalanced(moves=(Move(task="1", old=1, new=2),) * 2, least=1),
            "2 tasks move. Not proven: at least 1 task must.",
        ),
        (
            Rebalanced(weights=Upheaval(tools=1), upheaval=Upheaval(tools=5), least=3),
            "No task moves. Least upheaval by the weights: not proven; between 3 and 5.",
        ),
    ],
)
def test_the_moves_are_said(made, said):
    assert moves_words(made) == said
