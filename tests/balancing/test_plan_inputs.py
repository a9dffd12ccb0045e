"""What a plan rests on: the checksum and the words of what differs say the same."""

from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from product_strategies import products

from stationflow.balancing.plan_inputs import (
    curve_differences,
    curve_inputs_checksum,
    is_made_from,
    plan_differences,
    plan_inputs,
    plan_inputs_checksum,
)
from stationflow.files.codec import PRODUCT
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Break,
    Calendar,
    Caution,
    Conveyor,
    Demand,
    Equipment,
    Finding,
    FurtherJoin,
    Hazard,
    Line,
    LineForm,
    Picture,
    Plan,
    Product,
    Severity,
    Shift,
    StationSetting,
    StationTime,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)
from stationflow.model.unread import Unread, Use

FAN = Product(
    code="F",
    lines=(Line(name="main"), Line(name="motor", feeds="main", join="20")),
    tasks=(
        Task(number="10", time_ms=20_000, limits=TaskLimits(apart=("20",))),
        Task(number="20", time_ms=30_000, predecessors=("10",)),
        Task(number="M1", time_ms=15_000, line="motor"),
    ),
)


@st.composite
def edited(draw: st.DrawFn) -> tuple[Product, Product]:
    """Draw a product, and the same with some of its fields as another product has them."""
    one, other = draw(products({})), draw(products({}))
    names = draw(st.sets(st.sampled_from([f.name for f in fields(Product)]), max_size=3))
    kept = {name: getattr(other, name) for name in names}
    if draw(st.booleans()):  # the same tasks with some fields of other tasks
        spread = [f.name for f in fields(Task) if f.name != "number"]
        some = draw(st.sets(st.sampled_from(spread), max_size=2))
        pairs = zip(one.tasks, other.tasks, strict=False)
        kept["tasks"] = tuple(replace(a, **{n: getattr(b, n) for n in some}) for a, b in pairs)
    return one, replace(one, **kept)


drawn = settings(max_examples=60)


def of_plan(product: Product, line: str = "main") -> str:
    return plan_inputs_checksum(product, line)


@drawn
@given(edited())
def test_the_checksum_of_a_plan_differs_when_words_say_so_and_only_then(pair):
    before, now = pair
    for line in {line.name for product in pair for line in product.lines}:
        differs = of_plan(before, line) != of_plan(now, line)
        assert differs == bool(plan_differences(before, now, line))


@drawn
@given(edited())
def test_the_checksum_of_a_curve_differs_when_words_say_so_and_only_then(pair):
    before, now = pair
    for line in {line.name for product in pair for line in product.lines}:
        one, other = (curve_inputs_checksum(each, line) for each in pair)
        assert (one != other) == bool(curve_differences(before, now, line))


def test_what_a_field_to_come_would_change_is_nothing():
    # What is as usual is left out: a field nobody has filled is not in it. By hand.
    assert plan_inputs(Product(code="F", tasks=(Task(number="10", time_ms=5),)), "main") == {
        "tasks": {"10": {"time": 5, "predecessors": [], "model_times": [], "limits": {}}},
        "models": [],
        "lags": [],
        "pace": {},
    }


def test_words_on_the_card_do_not_count():
    spoken = replace(
        FAN,
        name="Fan",
        remarks="First series.",
        pictures=(Picture(name="a.png", checksum="0" * 64),),
        tasks=(
            replace(
                FAN.tasks[0],
                name="Place the base",
                picture="a.png",
                steps=(Step(text="Lift it."),),
                cautions=(Caution(hazard=Hazard.HEAVY),),
            ),
            *FAN.tasks[1:],
        ),
        lines=(replace(FAN.lines[0], title="Assembly"), FAN.lines[1]),
    )
    assert of_plan(spoken) == of_plan(FAN)


def test_the_same_numbers_written_otherwise_do_not_count():
    whole, same = (replace(FAN, demand=Demand(quantity=q)) for q in (500, 500.0))
    assert of_plan(whole) == of_plan(same)


def test_a_second_task_of_one_number_counts():
    assert of_plan(replace(FAN, tasks=(*FAN.tasks, FAN.tasks[0]))) != of_plan(FAN)


def test_a_lag_between_tasks_of_another_line_does_not_count():
    lags = (TimeLag(before="M1", after="M2", shortest_ms=1),)
    assert of_plan(replace(FAN, lags=lags)) == of_plan(FAN)


def test_what_is_entered_for_the_flow_of_lines_and_stations_does_not_count():
    station = StationSetting(number=1, copies=2)
    before = replace(FAN, lines=(replace(FAN.lines[0], stations=(station,)), FAN.lines[1]))
    stopping = replace(station, length_m=2.5, places_after=3, mtbf_min=600.0, mttr_min=5.0)
    moving = replace(
        before.lines[0],
        stations=(stopping,),
        conveyor=Conveyor.CONTINUOUS,
        hall_m=30.0,
        carriers=20,
        carrier_return_ms=60_000,
    )
    now = replace(before, lines=(moving, FAN.lines[1]))
    assert plan_differences(before, now, "main") == ()
    assert curve_differences(before, now, "main") == ()


EARLY = Shift(name="early", start="06:00", end="14:00", breaks=(Break(name="b", minutes=30),))
PACED = replace(FAN, calendar=Calendar(shifts=(EARLY,)), demand=Demand(quantity=2000))


def test_what_lines_shifts_and_breaks_are_called_does_not_count():
    pause = Break(name="pause", minutes=30)
    now = replace(
        PACED,
        calendar=Calendar(shifts=(replace(EARLY, name="first", breaks=(pause,)),)),
        lines=(Line(name="assembly"), Line(name="drive", feeds="assembly", join="10")),
        tasks=tuple(
            replace(task, line="drive" if task.line == "motor" else "assembly")
            for task in PACED.tasks
        ),
    )
    assert of_plan(now, "assembly") == of_plan(PACED, "main")
    assert of_plan(now, "drive") == of_plan(PACED, "motor")
    assert curve_inputs_checksum(now, "drive") == curve_inputs_checksum(PACED, "motor")


def test_the_same_pace_from_other_hours_does_not_count():
    # 2,000 a week in five days of 7.5 h are as many an hour as 1,600 in four.
    shorter = Calendar(days=PACED.calendar.days[:4], shifts=(EARLY,))
    now = replace(PACED, calendar=shorter, demand=Demand(quantity=1600))
    assert of_plan(now) == of_plan(PACED)
    assert plan_differences(PACED, now, "main") == ()
    assert of_plan(replace(PACED, calendar=shorter)) != of_plan(PACED)


def test_another_place_where_a_feeder_joins_does_not_count():
    join = FurtherJoin(line="motor", feeds="main", join="10")
    further, other = (replace(PACED, joins=(replace(join, join=n),)) for n in ("10", "20"))
    assert plan_differences(further, other, "motor") == ()
    assert of_plan(further, "motor") == of_plan(other, "motor") != of_plan(PACED, "motor")


def test_a_value_of_the_pace_that_cannot_be_read_makes_plans_old_in_words():
    # 5 x 7.5 h x 3600 / 2000 = 67.5 s
    said = Finding(
        severity=Severity.ERROR, code="value-not-read", where="Demand", message="Says x."
    )
    now = replace(PACED, unread=(Unread(finding=said, uses=(Use.PACE,)),))
    assert plan_differences(PACED, now, "main") == ("Takt time: 67.5 s → empty.",)
    assert of_plan(now) != of_plan(PACED)


FORMS = Path(__file__).parents[1] / "storage" / "forms"
# What plans kept of products that are stored for ever: before December 2026, by the code of
# then, and since, by our own. A field that gets another name must not change them.
KEPT = [
    (
        "product_1", "main",
        "109d4e303cb4c521317a951235d1ed82edded2492410bdcafdac51511dabbd02",
        "6456926d4c1966540423c27b6f3a642c9c9c65939d5ab8aae16c68e399ae9ddc",
    ),
    (
        "product_1", "motor",
        "5933d5798894f9cdfdd1375f1782e2bd2b384615e5100a1db5e5861fdb11066f",
        "5cfc1cfd54226246f1e695efb17946101627bf98afa25af447a1ac0741005ae6",
    ),
    (
        "product_2_limits", "main",
        "42321850dc06c615f1d92bad3b08a5e8b7b15c1372d0e29ba25ad53cd6a83262",
        "9f0020aafdcc4c800f4f4aef896331d2df6864b48e63c91e8fa9d69018c5b725",
    ),
]  # fmt: skip


def frozen(name: str) -> Product:
    return PRODUCT.from_json((FORMS / f"{name}.json").read_text("utf-8"))


@pytest.mark.parametrize(("name", "line", "before", "since"), KEPT)
def test_plans_of_before_and_since_are_up_to_date(name: str, line: str, before: str, since: str):
    result = BalanceResult(line=line, asked=BalanceSettings(method="by-hand"))
    for inputs in (before, since):
        plan = Plan(product="P", result=result, inputs=inputs)
        product = frozen(name)
        assert is_made_from(plan, product)
        tasks = tuple(replace(task, time_ms=(task.time_ms or 0) + 1) for task in product.tasks)
        assert not is_made_from(plan, replace(product, tasks=tasks))


def test_a_plan_that_kept_nothing_is_not_said_to_be_made_from_a_product():
    result = BalanceResult(line="main", asked=BalanceSettings(method="by-hand"))
    assert not is_made_from(Plan(product="F", result=result), FAN)


def test_another_form_of_a_line_makes_its_curve_old():
    now = replace(FAN, lines=(replace(FAN.lines[0], form=LineForm.U_LINE), FAN.lines[1]))
    assert curve_differences(FAN, now, "main") == ("Line main, form: straight → u-line.",)


def test_demand_does_not_count_for_a_curve():
    now = replace(FAN, demand=Demand(quantity=7))
    assert curve_differences(FAN, now, "main") == ()


def test_a_time_at_a_station_and_the_number_of_needed_equipment_make_a_plan_old():
    own = replace(FAN.tasks[0], station_times=(StationTime(station=2, time_ms=9_000),))
    assert plan_differences(FAN, replace(FAN, tasks=(own, *FAN.tasks[1:])), "main")
    needing = replace(FAN.tasks[0], limits=TaskLimits(equipment=("press",)))
    before = replace(
        FAN, tasks=(needing, *FAN.tasks[1:]), equipment=(Equipment(name="press", quantity=2),)
    )
    after = replace(before, equipment=(Equipment(name="press"), Equipment(name="oven")))
    assert plan_differences(before, after, "main")
    assert not plan_differences(before, after, "motor")


def test_the_limits_of_a_line_make_its_curve_old():
    line = replace(FAN.lines[0], turn_ms=2_000)
    assert curve_differences(FAN, replace(FAN, lines=(line, *FAN.lines[1:])), "main")
