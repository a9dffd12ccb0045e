"""Why a line cannot be done: the smallest clash and ways out, held against trying every plan."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import product as every
from time import monotonic

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from limited_lines import limited, limited_lines, line

import stationflow as sf
from stationflow.actions.plans.way_out_taken import product_with
from stationflow.balancing.balance import balance
from stationflow.balancing.impossible.explained_result import with_ways_out
from stationflow.balancing.impossible.line_question import Asking, LineQuestion
from stationflow.balancing.impossible.smallest_clash import (
    Member,
    Part,
    members_of,
    smallest_clash,
)
from stationflow.balancing.limits.forms import Group, Pairs, StationSet
from stationflow.balancing.work import line_work
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Ending,
    Equipment,
    Line,
    Product,
    StationSetting,
    Task,
    TaskLimits,
    TimeLag,
)
from stationflow.model.way_out import WayOut

AS_ASKED = WayOut(said="as asked")
RULE = "ranked-positional-weight"
NEVER = 10.0**6  # seconds: a machine that is busy must not change an answer


def asking() -> Asking:
    return Asking(monotonic() + NEVER)


def clash_of(question: LineQuestion) -> tuple[Member, ...]:
    return smallest_clash(question, asking())


def keeps(member: Member, station_of: Sequence[int]) -> bool:
    """Return whether stations by task keep one limit or order."""
    if member.part == Part.ARROW:
        before, after = member.arrow
        return station_of[before] <= station_of[after]
    match member.form:
        case StationSet(task=task, stations=stations):
            return bool(stations >> station_of[task] & 1)
        case Group(tasks=tasks):
            return len({station_of[task] for task in tasks}) == 1
        case Pairs(tasks=tasks, others=others):
            return {station_of[t] for t in tasks}.isdisjoint(station_of[t] for t in others)
    return True


def can_be_done(question: LineQuestion, members: Collection[Member]) -> bool:
    """Return by trying every plan whether some members can all be kept."""
    parts = {member.part for member in members}
    times = question.work.times
    most = question.stations if Part.STATIONS in parts else len(times) + 5  # 5: the last one named
    limit = (question.limit or 0) * question.work.ticks if Part.TIME in parts else sum(times)
    for station_of in every(range(1, (most or 0) + 1), repeat=len(times)):
        loads = dict.fromkeys(station_of, 0)
        for time, station in zip(times, station_of, strict=True):
            loads[station] += time
        if max(loads.values()) <= limit and all(keeps(m, station_of) for m in members):
            return True
    return False


@st.composite
def questions(draw: st.DrawFn) -> LineQuestion:
    """Small lines with limits of every old kind, asked for a limit, for stations, for both."""
    work = draw(limited_lines(4))
    limit = draw(st.none() | st.integers(max(work.times), 12))
    stations = draw(st.integers(1, 4)) if limit is None else draw(st.none() | st.integers(1, 4))
    return LineQuestion(work=work, limit=limit, stations=stations)


@settings(max_examples=60, deadline=None)
@given(question=questions())
def test_a_clash_is_found_where_trying_every_plan_finds_none(question: LineQuestion):
    everything = members_of(question, question.problem())
    assert (clash_of(question) == ()) == can_be_done(question, everything)


@settings(max_examples=60, deadline=None)
@given(question=questions())
def test_without_any_member_of_a_clash_the_others_can_be_kept(question: LineQuestion):
    clash = clash_of(question)
    left = [[other for other in clash if other != member] for member in clash]
    assert all(can_be_done(question, others) for others in left)


@settings(max_examples=60, deadline=None)
@given(question=questions())
def test_a_clash_alone_cannot_be_kept(question: LineQuestion):
    clash = clash_of(question)
    assert not clash or not can_be_done(question, clash)


@dataclass(frozen=True)
class Case:
    """A line that cannot be done as asked."""

    name: str
    product: Product
    said: tuple[str, ...]  # the clash in the engineer's words
    cheapest: str  # the way out that is offered first
    limit_s: float | None = 60
    stations: int | None = None


def product(
    *times_s: int, arrows: str = "", settings: Sequence[StationSetting] = (), **limits: TaskLimits
) -> Product:
    """Return a product of tasks 1, 2 ... with arrows like "1>2" and limits by "t1"."""
    pairs = [arrow.split(">") for arrow in arrows.split()]
    return Product(
        code="P",
        lines=(Line(stations=tuple(settings)),),
        tasks=tuple(
            Task(
                number=str(n),
                name=f"Task {n}",
                time_ms=time * 1000,
                predecessors=tuple(before for before, after in pairs if after == str(n)),
                limits=limits.get(f"t{n}", TaskLimits()),
            )
            for n, time in enumerate(times_s, 1)
        ),
    )


CASES = (
    Case("fixed after its follower", product(
        9, 9, 9, arrows="1>2 2>3", t1=TaskLimits(station=3), t3=TaskLimits(station=2)),
        ("task 1 is fixed at station 3", "task 3 is fixed at station 2",
         "task 1 comes before task 2", "task 2 comes before task 3"),
        "Task 1: fixed station 2 instead of 3"),
    Case("together and apart", product(
        9, 9, 9, t1=TaskLimits(together="a", apart=("2",)), t2=TaskLimits(together="a")),
        ("tasks 1, 2 are kept together (a)", "tasks 1 and 2 are kept apart"),
        "Task 1: give up 'kept together a'"),
    # 40 s + 30 s are more than 60 s
    Case("together and too long", product(
        40, 30, t1=TaskLimits(together="a"), t2=TaskLimits(together="a")),
        ("tasks 1, 2 are kept together (a)", "the limit of 60 s"),
        "Task 1: give up 'kept together a'"),
    Case("earliest after latest", product(
        9, t1=TaskLimits(earliest_station=4, latest_station=2)),
        ("task 1 is at station 4 or later", "task 1 is at station 2 or earlier"),
        "Task 1: earliest station 2 instead of 4"),
    # 3 x 40 s, no two of them in 60 s
    Case("too few stations", product(40, 40, 40), ("at most 2 stations", "the limit of 60 s"),
        "Allow 3 stations instead of 2", stations=2),
    # 1 and 3 in zone wet, 2 between them in zone dry
    Case("a zone between", product(
        9, 9, 9, arrows="1>2 2>3", t1=TaskLimits(zone="wet"), t2=TaskLimits(zone="dry"),
        t3=TaskLimits(zone="wet", together="a"), settings=()),
        ("zones wet and dry do not share a station", "at most 2 stations",
         "task 1 comes before task 2", "task 2 comes before task 3"),
        "Task 1: give up 'zone wet'", stations=2),
    Case("a zone at a late station", product(
        9, 9, arrows="1>2", t1=TaskLimits(zone="wet"), t2=TaskLimits(latest_station=2),
        settings=(StationSetting(number=4, zone="wet"),)),
        ("task 2 is at station 2 or earlier", "task 1 needs zone wet (station 4)",
         "task 1 comes before task 2"),
        "Task 2: latest station 4 instead of 2"),
    # 50 s + 50 s before it need two stations
    Case("too early for the work before", product(
        50, 50, 9, arrows="1>2 2>3", t3=TaskLimits(station=1)),
        ("task 3 is fixed at station 1", "the limit of 60 s", "task 1 comes before task 2",
         "task 2 comes before task 3"),
        "Task 3: fixed station 2 instead of 1"),
    Case("too many at one station", product(
        30, 30, 30, t1=TaskLimits(station=2), t2=TaskLimits(station=2), t3=TaskLimits(station=2)),
        ("task 1 is fixed at station 2", "task 2 is fixed at station 2",
         "task 3 is fixed at station 2", "the limit of 60 s"),
        "Task 1: fixed station 3 instead of 2"),
    Case("a station beyond the last", product(9, 9, t2=TaskLimits(station=5)),
        ("task 2 is fixed at station 5", "at most 2 stations"),
        "Task 2: fixed station 2 instead of 5", limit_s=None, stations=2),
)  # fmt: skip


def of_name(case: Case) -> str:
    return case.name


def question_of(case: Case) -> LineQuestion:
    work, _ = line_work(case.product, "main")
    assert work is not None
    return LineQuestion(work=work, limit=case.limit_s, stations=case.stations)


def answer(case: Case, product: Product, way: WayOut = AS_ASKED) -> BalanceResult:
    """Return what a rule says of a case, explained; `way` may ask otherwise."""
    limit = case.limit_s if way.limit is None else way.limit
    stations = case.stations if way.stations is None else way.stations
    result = sf.balance_line(product, limit_s=limit, stations=stations, method=RULE)
    work, _ = line_work(product, "main")
    assert work is not None
    return with_ways_out(work, result, seconds=NEVER)


@pytest.mark.parametrize("case", CASES, ids=of_name)
def test_the_smallest_clash_is_said_in_the_words_of_the_trade(case: Case):
    said = [member.said for member in clash_of(question_of(case))]
    assert tuple(dict.fromkeys(said)) == case.said


@pytest.mark.parametrize("case", CASES, ids=of_name)
def test_without_any_member_of_the_clash_the_line_can_be_done(case: Case):
    question = question_of(case)
    everything = members_of(question, question.problem())
    clash = clash_of(question)
    left = [[other for other in everything if other != member] for member in clash]
    assert all(can_be_done(question, others) for others in left)


@pytest.mark.parametrize("case", CASES, ids=of_name)
def test_the_cheapest_way_out_is_offered_first(case: Case):
    assert answer(case, case.product).ways_out[0].said == case.cheapest


@pytest.mark.parametrize("case", CASES, ids=of_name)
def test_every_way_out_leads_to_a_plan(case: Case):
    ways = answer(case, case.product).ways_out
    ends = [answer(case, product_with(case.product, way), way).has_plan for way in ways]
    assert ends == [True] * len(ways) != []


@pytest.mark.parametrize("case", CASES, ids=of_name)
def test_the_ways_out_stand_in_the_findings(case: Case):
    result = answer(case, case.product)
    hints = [f.hint for f in result.findings if "Ways out, each tried: (1) " in f.hint]
    assert (result.ending, len(hints)) == (Ending.IMPOSSIBLE, 1)


def test_two_clashes_are_led_out_of_by_one_way():
    limits = {
        "t1": TaskLimits(together="a", apart=("2",)),
        "t2": TaskLimits(together="a"),
        "t3": TaskLimits(earliest_station=3, latest_station=2),
    }
    case = Case("two", product(9, 9, 9, **limits), (), "")
    (way, *_) = answer(case, case.product).ways_out
    first, then = "Task 3: give up 'earliest station 3'", "task 1: give up 'kept together a'"
    assert way.said == f"{first}; and {then}"


def test_a_line_that_can_be_done_has_no_clash():
    work = limited(line([5, 4, 3], (0, 1)), T0=TaskLimits(station=2))
    assert clash_of(LineQuestion(work=work, limit=9, stations=3)) == ()


def test_the_smallest_limit_that_works_is_offered():
    # 5 + 4 and 6 + 3: 9; with the order 5 4 3 6 it is 5 + 4 against 3 + 6
    work = line([5, 4, 3, 6], (0, 1), (1, 2), (2, 3))
    result = balance(work, BalanceSettings(method=RULE, limit=8, stations=2))
    ways = with_ways_out(work, result, seconds=NEVER).ways_out
    assert [way.limit for way in ways if way.limit] == [9.0]


def test_a_plan_is_left_as_it_is():
    work = line([5, 4])
    result = balance(work, BalanceSettings(method=RULE, limit=9))
    assert with_ways_out(work, result) is result


def test_an_order_of_several_tasks_is_said_as_one_row():
    message = answer(CASES[0], CASES[0].product).findings[0].message
    fixed = "task 1 is fixed at station 3; task 3 is fixed at station 2"
    assert message == f"These cannot all hold: {fixed}; the order 1, 2, 3."


def on(product: Product, **of_line: float) -> Product:
    """Return a product with limits that hold for its whole line."""
    return replace(product, lines=(replace(product.lines[0], **of_line),))


OTHER_KINDS = (
    # 20 lifts in 60 s, where 6 are allowed
    Case("lifts a minute", on(product(9, 9, t1=TaskLimits(lift_kg=10, lifts=20)), lifts_per_min=6),
        ("at most 6 lifts a minute at a station",), "Line main: give up 'lifts a minute 6'"),
    # 2 m and 1.5 m on 3 m
    Case("width at the line", on(product(
        9, 9, t1=TaskLimits(space_mm=2000, together="a"),
        t2=TaskLimits(space_mm=1500, together="a")), pitch_m=3),
        ("tasks 1, 2 are kept together (a)", "the parts of a station have the width they need"),
        "Task 1: give up 'kept together a'"),
    # 2 m on 1 m
    Case("pitch of the line", on(product(9, t1=TaskLimits(space_mm=2000)), pitch_m=1),
        ("the parts of a station have the width they need",), "Line main: give up 'pitch 1 m'"),
    # 300 s of waiting are five stations of 60 s further
    Case("curing", replace(product(50, 50, arrows="1>2", t2=TaskLimits(latest_station=3)),
        lags=(TimeLag(before="1", after="2", shortest_ms=300_000),)),
        ("task 2 is at station 3 or earlier", "between tasks 1 and 2 lie at least 300 s"),
        "Task 2: latest station 7 instead of 3"),
    Case("target load", product(50, 9, t1=TaskLimits(station=2),
        settings=(StationSetting(number=2, target_share=0.5),)),
        ("task 1 is fixed at station 2", "station 2 is loaded up to 50 % only"),
        "Task 1: fixed station 3 instead of 2"),
    # 50 s and 30 s need two presses where a station has 60 s
    Case("equipment", replace(product(
        50, 30, t1=TaskLimits(equipment=("press",)), t2=TaskLimits(equipment=("press",))),
        equipment=(Equipment(name="press"),)),
        ("of press there is 1", "the limit of 60 s"), "Equipment press: 2 instead of 1"),
    Case("another operator", product(9, 9, arrows="1>2", t2=TaskLimits(independent_of=("1",))),
        ("task 2 has another operator than task 1", "at most 1 station"),
        "Task 2: give up 'other operator than 1'", stations=1),
    # 20 s + 20 s + 30 s are more than 60 s
    Case("turning over", on(product(
        20, 20, t1=TaskLimits(attitude="up", together="a"),
        t2=TaskLimits(attitude="down", together="a")), turn_ms=30_000),
        ("tasks 1, 2 are kept together (a)",
         "turning the unit over between up, down takes time", "the limit of 60 s"),
        "Task 1: give up 'kept together a'"),
)  # fmt: skip


@pytest.mark.parametrize("case", OTHER_KINDS, ids=of_name)
def test_a_clash_of_another_kind_is_said_in_the_words_of_the_trade(case: Case):
    said = [member.said for member in clash_of(question_of(case))]
    assert tuple(dict.fromkeys(said)) == case.said


@pytest.mark.parametrize("case", OTHER_KINDS, ids=of_name)
def test_every_way_out_of_another_kind_leads_to_a_plan(case: Case):
    ways = answer(case, case.product).ways_out
    ends = [answer(case, product_with(case.product, way), way).has_plan for way in ways]
    assert (ways[0].said, ends) == (case.cheapest, [True] * len(ways))


def test_what_is_so_is_never_offered_to_be_given_up():
    case = OTHER_KINDS[1]
    assert not any("width" in way.said for way in answer(case, case.product).ways_out)


def test_so_many_stations_are_offered_as_the_work_needs():
    # 10 x 50 s, one in each station of 60 s
    case = Case("ten", product(*[50] * 10), (), "", stations=2)
    ways = answer(case, case.product).ways_out
    assert [way.stations for way in ways if way.stations] == [10]


def test_out_of_time_nothing_is_said_that_was_not_proven():
    work, _ = line_work(CASES[0].product, "main")
    assert work is not None
    result = sf.balance_line(CASES[0].product, limit_s=60, method=RULE)
    assert with_ways_out(work, result, seconds=0) is result


class Hurried(Asking):
    """Has time for so many questions."""

    def __init__(self, most: int) -> None:
        super().__init__(monotonic() + NEVER)
        self.most = most

    def is_over(self) -> bool:
        return len(self.known) >= self.most


CROWDED = LineQuestion(
    work=limited(
        line([1] * 6),
        T0=TaskLimits(earliest_station=3, latest_station=2),
        **{f"T{at}": TaskLimits(zone="wet") for at in range(1, 6)},
    ),
    limit=6,
    stations=4,
)


@pytest.mark.parametrize("most", range(1, 9))
def test_out_of_time_the_smallest_clash_so_far_is_said(most: int):
    whole = smallest_clash(CROWDED, Hurried(1))
    found = smallest_clash(CROWDED, Hurried(most))
    assert {member.said for member in clash_of(CROWDED)} <= {member.said for member in found}
    assert len(found) <= len(whole)


def test_it_is_said_after_how_long_the_search_for_a_smaller_clash_ended(monkeypatch):
    monkeypatch.setattr(Asking, "is_over", lambda self: len(self.known) >= 2)
    work = CROWDED.work
    result = balance(work, BalanceSettings(method=RULE, limit=6, stations=4))
    (finding,) = with_ways_out(work, result).findings
    assert finding.message.startswith("Some of these cannot all hold: ")
    assert finding.message.endswith("The search for a smaller clash ended after 0 s.")
