"""Moves by hand: what the board refuses is what `verify` refuses, but for work over the limit."""

from dataclasses import replace
from itertools import islice

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from limited_lines import every_plan, limited, limited_lines, line, times_and_arrows

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.by_hand.hand_board import HandBoard, hand_board
from stationflow.balancing.by_hand.hand_plan import HandPlan, with_step, with_steps
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import (
    Equipment,
    HandAct,
    HandStep,
    Line,
    Pins,
    StationSetting,
    TaskLimits,
    TimeLag,
)

MANY = settings(max_examples=150)
# Three tasks in a row, each of 5 units, and a fourth that waits for nothing.
ROW = line((5, 5, 5, 5), (0, 1), (1, 2))


def plan_of(*stations: str, pinned: str = "", locked: tuple[int, ...] = ()) -> HandPlan:
    """Return a plan; "T0 T1" is a station with two tasks."""
    held = (GivenStation(n, tuple(tasks.split())) for n, tasks in enumerate(stations, 1))
    return HandPlan(
        stations=tuple(held), pinned=frozenset(pinned.split()), locked=frozenset(locked)
    )


def board(work: LineWork, *stations: str, **more: object) -> HandBoard:
    return hand_board(work, plan_of(*stations, **more), None)  # type: ignore[arg-type]


def tasks_of(plan: HandPlan) -> list[str]:
    return [" ".join(station.tasks) for station in plan.stations]


def moved(on: HandBoard, *where: object, **more: bool) -> list[str]:
    return tasks_of(with_step(on.plan, on.move(*where, **more)))  # type: ignore[arg-type]


@st.composite
def boards(draw: st.DrawFn) -> HandBoard:
    """Return a line with limits and a plan that keeps them all."""
    work = draw(limited_lines())
    plans = list(islice(every_plan(work, 99, draw(st.integers(1, 5))), 40))
    assume(plans)
    station_of = draw(st.sampled_from(plans))
    order = topological_order(work.predecessors)
    rows = tuple(
        tuple(work.numbers[t] for t in order if station_of[t] == n)
        for n in range(1, max(station_of) + 1)
    )
    held = tuple(GivenStation(n, row) for n, row in enumerate(rows, 1))
    return hand_board(work, HandPlan(stations=held), None)


LIMIT_S = 12.0
SKILLS, TOOLS = ("weld", "solder"), ("press", "oven")


@st.composite
def boards_of_every_limit(draw: st.DrawFn) -> HandBoard:
    """Return a line with limits of any kind and a plan that keeps them, work over the limit aside.

    Times are whole seconds; each task and station gets few limits, so that most plans hold.
    """
    times, arrows = draw(times_and_arrows(6))
    size = len(times)
    work = replace(line([t * 1000 for t in times], *arrows), ticks=1000, time_unit="s")
    names = [f"T{at}" for at in range(size)]
    one = st.sampled_from
    limits = st.one_of(
        st.just(TaskLimits()),
        st.builds(TaskLimits, skill=one(SKILLS), static_safe=st.booleans()),
        st.builds(TaskLimits, lift_kg=one((4.0, 8.0)), lifts=one((None, 2))),
        st.builds(TaskLimits, space_mm=one((200.0, 500.0)), working_height_mm=one((800.0, 1000.0))),
        st.builds(TaskLimits, equipment=one(((), ("press",), TOOLS)), guarded=st.booleans()),
        st.builds(TaskLimits, independent_of=st.tuples(one(names)), attitude=one(("up", "down"))),
        st.builds(TaskLimits, together=one(("", "a")), zone=one(("", "wet"))),
        st.builds(TaskLimits, earliest_station=st.integers(1, 2), apart=st.tuples(one(names))),
    )
    settings = st.builds(
        StationSetting,
        number=st.integers(1, 4),
        skills=one(((), SKILLS)),
        static_safe=st.booleans(),
        guarded=st.booleans(),
        equipment_barred=one(((), ("oven",))),
        width_mm=one((None, 600.0)),
        target_share=one((None, 0.5)),
    )
    lags = st.builds(
        TimeLag,
        before=one(names),
        after=one(names),
        least_stations=one((None, 0, 1)),
        most_stations=one((None, 2)),
        shortest_ms=one((None, 3000)),
    )
    stations = draw(st.lists(settings, max_size=2, unique_by=lambda each: each.number))
    entered = EnteredLimits(
        numbers=work.numbers,
        tasks=tuple(draw(limits) for _ in names),
        line=Line(
            stations=tuple(stations),
            height_range_mm=draw(one((None, 100.0))),
            lifted_kg_per_min=draw(one((None, 60.0))),
            turn_ms=1000,
        ),
        equipment=(Equipment(name="press", quantity=draw(st.integers(1, 2)), shared=True),),
        lags=tuple(lag for lag in draw(st.lists(lags, max_size=1)) if lag.before != lag.after),
    )
    work = replace(work, limits=entered)
    at: dict[int, int] = {}
    for task in topological_order(work.predecessors):
        first = max((at[before] for before in work.predecessors[task]), default=1)
        at[task] = draw(st.integers(first, 4))
    held = tuple(
        GivenStation(n, tuple(work.numbers[t] for t, station in at.items() if station == n))
        for n in range(1, max(at.values()) + 1)
    )
    on = hand_board(work, HandPlan(stations=held), LIMIT_S)
    assume(not wrong(work, on.plan))
    return on


def wrong(work: LineWork, plan: HandPlan) -> set[str]:
    """Return the codes of what `verify` says, but for work that is too much."""
    found = verify(work, [station.tasks for station in plan.stations], limit=LIMIT_S)
    return {finding.code for finding in found} - {"station-over-limit", "target-load-exceeded"}


@MANY
@given(on=boards_of_every_limit(), data=st.data())
def test_limits_of_every_kind_refuse_a_place_exactly_where_verify_does(on: HandBoard, data):
    task = data.draw(st.sampled_from(on.work.numbers))
    for number in range(1, len(on.plan.stations) + 2):
        for is_new in (True, False) if number <= len(on.plan.stations) else (True,):
            gone = (task,) if on.station_of[task] == number and not is_new else on.company(task)
            stay = () if is_new else set(on.plan.at(number)) - set(gone)
            for place in range(len(stay) + 1):
                after = wrong(
                    on.work, with_step(on.plan, on.move(task, number, place, is_new=is_new))
                )
                said = on.refused(task, number, place, is_new=is_new)
                assert not said or after  # nothing is grey that could be
                # Time between tasks hangs on the order inside stations: told when it is let go.
                assert said or after <= {"time-between"}
                step = on.step(HandAct.MOVE, task, number, place, is_new=is_new)
                assert isinstance(step, str) == bool(after)


def test_time_between_tasks_is_there_at_a_station_with_more_work_than_the_limit():
    # T0 (1 s), T1 (3 s), T2 (9 s) one after another at station 2: 13 s where 12 s are the limit,
    # and the 3 s of T1 lie between T0 and T2. Without T1 there is nothing between them.
    lag = TimeLag(before="T0", after="T2", shortest_ms=3000)
    names = ("T0", "T1", "T2")
    lagged = EnteredLimits(numbers=names, tasks=(TaskLimits(),) * 3, lags=(lag,))
    work = replace(line((1000, 3000, 9000), (0, 1), (1, 2)), ticks=1000, time_unit="s")
    full = hand_board(replace(work, limits=lagged), plan_of("T0", "T1 T2"), LIMIT_S)
    assert full.refused("T0", 2, 0, is_new=False) == ""
    work = replace(line((1000, 3000, 9000), (0, 2)), ticks=1000, time_unit="s")
    alone = hand_board(replace(work, limits=lagged), plan_of("T0", "T2", "T1"), LIMIT_S)
    assert alone.refused("T0", 2, 0, is_new=False) == "Between tasks T0 and T2 lie at least 3 s."


def holds(work: LineWork, plan: HandPlan) -> bool:
    return not verify(work, [station.tasks for station in plan.stations])


@MANY
@given(on=boards(), data=st.data())
def test_a_place_is_refused_exactly_where_verify_refuses_the_plan(on: HandBoard, data):
    task = data.draw(st.sampled_from(on.work.numbers))
    for station, held in enumerate(on.plan.stations, 1):
        is_own = task in held.tasks
        gone = (task,) if is_own else on.company(task)
        for place in range(len(set(held.tasks) - set(gone)) + 1):
            after = with_step(on.plan, on.move(task, station, place))
            assert (not on.refused(task, station, place)) == holds(on.work, after)


@MANY
@given(on=boards(), data=st.data())
def test_a_new_station_is_refused_exactly_where_verify_refuses_the_plan(on: HandBoard, data):
    task = data.draw(st.sampled_from(on.work.numbers))
    for number in range(1, len(on.plan.stations) + 2):
        after = with_step(on.plan, on.move(task, number, 0, is_new=True))
        assert (not on.refused(task, number, 0, is_new=True)) == holds(on.work, after)


@MANY
@given(on=boards())
def test_inserting_and_removing_is_refused_exactly_where_verify_refuses_the_plan(on: HandBoard):
    for number in range(1, len(on.plan.stations) + 2):
        after = with_step(on.plan, HandStep(act=HandAct.INSERT, station=number))
        assert (not on.insert_refused(number)) == holds(on.work, after)
    for station in on.plan.stations if len(on.plan.stations) > 1 else ():
        if not station.tasks:
            after = with_step(on.plan, HandStep(act=HandAct.REMOVE, station=station.number))
            assert (not on.remove_refused(station.number)) == holds(on.work, after)


@MANY
@given(on=boards())
def test_the_tables_for_the_browser_say_what_the_board_says(on: HandBoard):
    stations, (for_all, new) = on.refused_stations(), on.refused_new_stations()
    for task in on.work.numbers:
        for number in range(1, len(on.plan.stations) + 2):
            said = new.get(task, {}).get(number, for_all.get(number, ""))
            assert bool(said) == bool(on._new_limits(task, number))
            if number <= len(on.plan.stations) and on.station_of[task] != number:
                said = stations.get(task, {}).get(number, "")
                assert said == on._limits(task, number)


@MANY
@given(on=boards(), data=st.data())
def test_an_emptied_station_is_empty_and_the_plan_still_holds(on: HandBoard, data):
    number = data.draw(st.integers(1, len(on.plan.stations)))
    step = on.empty(number)
    if isinstance(step, HandStep):
        after = with_step(on.plan, step)
        assert not after.at(number)
        assert holds(on.work, after)


@MANY
@given(on=boards(), data=st.data())
def test_pins_of_a_plan_hold_for_that_plan_and_for_no_other_place(on: HandBoard, data):
    task = data.draw(st.sampled_from(on.work.numbers))
    pinned = with_step(on.plan, HandStep(act=HandAct.PIN, task=task))
    work = on.work.pinned(pinned.pins)
    assert holds(work, on.plan)
    moved_on = with_step(on.plan, on.move(task, len(on.plan.stations) + 1, 0, is_new=True))
    assert not holds(work, moved_on)


def test_a_task_goes_to_the_place_it_is_put():
    assert moved(board(ROW, "T0 T1", "T2 T3"), "T3", 1, 1) == ["T0 T3 T1", "T2"]


def test_a_task_moves_within_its_station():
    assert moved(board(ROW, "T0 T1", "T2 T3"), "T3", 2, 0) == ["T0 T1", "T3 T2"]


def test_a_task_goes_to_a_new_station_between_two():
    assert moved(board(ROW, "T0 T1", "T2 T3"), "T1", 2, 0, is_new=True) == ["T0", "T1", "T2 T3"]


def test_tasks_kept_together_move_together_with_what_lies_between():
    work = limited(ROW, T0=TaskLimits(together="a"), T2=TaskLimits(together="a"))
    on = board(work, "T0 T1 T2", "T3")
    assert moved(on, "T0", 2, 1) == ["", "T3 T0 T1 T2"]


def test_the_order_is_the_reason_a_place_is_refused():
    on = board(ROW, "T0", "T1", "T2 T3")
    assert on.refused("T0", 3, 0) == "Task T0 comes before task T1 (station 2)."


def test_a_task_that_is_pinned_is_not_taken_away():
    on = board(ROW, "T0 T1", "T2 T3", pinned="T3")
    assert on.refused("T3", 1, 0) == "Task T3 is pinned."


def test_no_task_goes_to_a_locked_station():
    on = board(ROW, "T0 T1", "T2 T3", locked=(1,))
    assert on.refused("T3", 1, 0) == "Station 1 is locked."


def test_work_over_the_limit_is_not_refused():
    assert on_one_station().refused("T2", 1, 2) == ""


def on_one_station() -> HandBoard:
    return board(ROW, "T0 T1", "T2", "T3")


def test_a_limit_is_said_in_the_engineers_words():
    on = board(limited(ROW, T3=TaskLimits(station=2)), "T0 T1", "T2 T3")
    assert on.refused("T3", 1, 0) == "Task T3 is fixed at station 2."


def test_no_station_is_inserted_before_a_task_that_is_fixed_by_its_number():
    on = board(limited(ROW, T3=TaskLimits(station=2)), "T0 T1", "T2 T3")
    assert on.insert_refused(1) == "Station numbers would change: task T3 is fixed at station 2."


def test_locks_move_on_with_their_station_when_one_is_inserted_before():
    on = plan_of("T0 T1", "T2 T3", locked=(2,))
    after = with_step(on, HandStep(act=HandAct.INSERT, station=1))
    assert after.pins == Pins(tasks=(("T2", 3), ("T3", 3)), stations=(3,))


def test_pins_follow_their_task_when_a_station_is_inserted_before():
    on = plan_of("T0 T1", "T2 T3", pinned="T3")
    assert with_step(on, HandStep(act=HandAct.INSERT, station=2)).pins.tasks == (("T3", 3),)


def test_a_station_with_work_is_not_removed():
    assert on_one_station().remove_refused(2) == "Station 2 has work; empty it first."


def test_what_is_undone_is_as_if_it_had_not_been():
    on = on_one_station()
    step = on.move("T3", 1, 0)
    assert tasks_of(with_steps(on.plan, [step][:0])) == tasks_of(on.plan)


def test_a_station_is_emptied_where_least_work_is_then():
    # T2 waits for nothing: 5 + 1 at station 1 is less than 9 + 1 at station 3.
    on = board(line((5, 9, 1), (0, 1)), "T0", "T2", "T1")
    step = on.empty(2)
    assert isinstance(step, HandStep)
    assert tasks_of(with_step(on.plan, step)) == ["T0 T2", "", "T1"]


def test_a_station_that_cannot_be_emptied_says_why():
    on = board(ROW, "T0", "T1", "T2 T3", locked=(1, 3))
    assert on.empty(2) == "Not all of its work has another place. Station 3 is locked."


def test_equipment_of_stations_is_a_reason():
    press = ("press",)
    has_press = StationSetting(number=2, equipment=press)
    work = limited(ROW, has_press, T2=TaskLimits(equipment=press))
    said = board(work, "T0 T1", "T2 T3").refused("T2", 1, 2)
    assert said == "Task T2 needs press (station 2)."
