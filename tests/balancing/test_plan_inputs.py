"""What a plan rests on: the checksum and the words of what differs say the same."""

from dataclasses import fields, replace

from hypothesis import given, settings
from hypothesis import strategies as st
from product_strategies import products

from stationflow.balancing.plan_inputs import (
    curve_differences,
    curve_inputs_checksum,
    plan_differences,
    plan_inputs,
    plan_inputs_checksum,
)
from stationflow.model import (
    Caution,
    Conveyor,
    Demand,
    Equipment,
    Hazard,
    Line,
    Picture,
    Product,
    StationSetting,
    StationTime,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)

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
        "lines": {"main": {}},
        "calendar": {},
        "demand": {},
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
