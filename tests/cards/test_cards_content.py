"""The content of station cards, compared as data. Expected values are worked out by hand."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from sample_station import TASKS, fan, fan_plan, plan_of, with_operators
from small_products import BOARD_LAMP

from stationflow.cards import check_cards, station_cards
from stationflow.cards.code import card_code
from stationflow.cards.contents.gathering import protection_symbol
from stationflow.cards.printing import HERE
from stationflow.cards.said import tags
from stationflow.model import (
    DEFER,
    HAZARD_ADVICE,
    Caution,
    Check,
    FurtherJoin,
    Hazard,
    Lift,
    Line,
    Model,
    ModelTime,
    PartUse,
    StationSetting,
    StationTime,
    Step,
    Task,
    TaskLimits,
    TimeLag,
    warning,
)
from stationflow.units import TimeUnit


def first_card(product=None, plan=None, **more):
    product = product or fan()
    cards, _ = station_cards(product, plan or fan_plan(product), version_label="version 7", **more)
    return cards[0]


def codes(product):
    return [finding.code for finding in check_cards(product)]


def test_there_is_one_card_for_each_station():
    cards, _ = station_cards(fan(), fan_plan(), version_label="version 7")
    assert [card.station for card in cards] == [1, 2]


def test_tasks_stand_in_the_order_of_the_plan():
    assert [task.task for task in first_card().tasks] == [
        "010",
        "020",
        "030",
        "040",
        "050",
        "060",
    ]


@pytest.mark.parametrize("unit", list(TimeUnit))
def test_printed_times_add_up_to_the_printed_work(unit):
    card = first_card(fan(unit))
    assert sum(Decimal(task.time) for task in card.tasks) == Decimal(card.work)


def test_work_is_rounded_half_up_from_the_exact_sum():
    assert first_card().work == "53.0"  # 6.4 + 12.85 + 11.25 + 9.3 + 8.15 + 5 = 52.95 s


def test_the_bar_ends_where_the_table_ends():
    card = first_card()
    assert str(card.bar.segments[-1].end) == card.work


def test_the_bar_says_what_is_left():
    assert first_card().bar.rest == "idle 7.0 s"


def test_load_over_the_limit_is_said():
    product = fan()
    plan = plan_of(product, ("010", "020"), takt=15.0)
    assert first_card(product, plan).remarks == (
        "The work of this station is 4.3 s over the limit.",
    )


def test_a_station_just_at_its_limit_is_not_over_it():
    product = fan()  # packing takes 30 s
    assert first_card(product, plan_of(product, ("070",), takt=30.0)).remarks == ()


def test_the_header_names_the_paces():
    facts = {fact.name: fact.value for fact in first_card().facts}
    assert facts == {
        "Takt time": "64.8 s",
        "Operating takt": "62.0 s",
        "Station time": "60.0 s",
        "Work": "53.0 s",
        "Version": "7",
    }


def test_steps_are_numbered_under_their_task():
    assert [step.number for step in first_card().tasks[2].steps] == ["3.1", "3.2", "3.3"]


def test_step_times_add_up_to_the_printed_task_time():
    steps = (
        Step(text="a", time_ms=4210),
        Step(text="b", time_ms=4220),
        Step(text="c", time_ms=4420),
    )
    product = fan(tasks=(replace(TASKS[1], steps=steps, time_ms=12_850, predecessors=()),))
    task = first_card(product, plan_of(product, ("020",))).tasks[0]
    assert sum(Decimal(step.time.split()[0]) for step in task.steps) == Decimal(task.time)


def test_what_rounding_leaves_of_a_task_goes_to_the_step_of_the_largest_remainder():
    # By hand: 1.02 + 1.97 = 2.99, printed 3.0; cut to 1.0 and 1.9, and 1.97 lost more.
    steps = (Step(text="a", time_ms=1020), Step(text="b", time_ms=1970))
    product = fan(tasks=(replace(TASKS[1], steps=steps, time_ms=2990, predecessors=()),))
    task = first_card(product, plan_of(product, ("020",))).tasks[0]
    assert [step.time for step in task.steps] == ["1.0 s", "2.0 s"]


def test_a_part_used_twice_stands_once_with_its_whole_quantity():
    screws = [(p.quantity, p.tasks) for p in first_card().parts if p.number == "SC-4012"]
    assert screws == [("6", "2, 4")]


def test_parts_stand_in_order_of_use():
    assert [part.number for part in first_card().parts][:3] == ["FN-110", "FN-120", "SC-4012"]


def test_a_hazard_stands_once():
    assert [c.symbol for c in first_card().cautions] == ["sharp", "air-tool", "static"]


def test_protective_equipment_stands_once():
    words = [p.word for p in first_card().protection]
    assert words == ["cut-resistant gloves", "eye protection", "wrist strap"]


def test_the_deferring_sentence_stands_once():
    card = first_card()
    assert card.defer == DEFER
    assert not any(DEFER in t for c in card.cautions for t in c.texts)


def test_own_words_of_a_caution_replace_those_of_the_catalogue():
    task = replace(TASKS[0], cautions=(Caution(hazard=Hazard.SHARP, text="Rim cuts."),))
    product = fan(tasks=(task,))
    assert first_card(product, plan_of(product, ("010",))).cautions[0].texts == ("Rim cuts.",)


def test_two_operators_do_not_move_the_limit():
    # Balancing counts one operator at a station; more are named in the header only.
    card = first_card(plan=with_operators(fan_plan(), 2))
    assert card.bar.limit_label == "Station time 60.0 s"


def test_the_number_of_operators_is_known():
    assert first_card(plan=with_operators(fan_plan(), 2)).operators == 2


def test_operators_of_the_line_are_known():
    lines = (Line(stations=(StationSetting(number=1, operators=2),)),)
    assert first_card(replace(fan(), lines=lines)).operators == 2


def test_what_only_the_planner_has_to_know_stands_on_no_card():
    said = (
        warning("limits-not-kept", "line main", "not kept by the method: zones."),
        warning("lift-too-heavy", "Task 010", "30 kg are lifted by hand."),
        warning("station-not-allowed", "Task 010", "It is at station 1."),
    )
    plan = fan_plan()
    plan = replace(plan, result=replace(plan.result, findings=said))
    assert first_card(plan=plan).remarks == ()


def test_a_finding_about_task_10_is_not_printed_for_task_100():
    said = warning("task-longer-than-limit", "Task 0100", "too long.")
    plan = fan_plan()
    plan = replace(plan, result=replace(plan.result, findings=(said,)))
    assert first_card(plan=plan).remarks == ()


def test_a_plan_from_other_times_is_named():
    product = fan()
    plan = fan_plan(product)
    slower = fan(tasks=(replace(TASKS[0], time_ms=16_400), *TASKS[1:]))
    _, findings = station_cards(slower, plan, version_label="version 8")
    assert [finding.code for finding in findings] == ["plan-out-of-date"]


@pytest.mark.parametrize(("more_ms", "named"), [(6, []), (7, ["plan-out-of-date"])])
def test_a_plan_may_differ_by_a_rounding_of_each_task_and_no_more(more_ms, named):
    # The station has six tasks, and the time of each may be rounded by 1 ms.
    first = replace(TASKS[0], time_ms=TASKS[0].time_ms + more_ms)
    slower = fan(tasks=(first, *TASKS[1:]))
    _, findings = station_cards(slower, fan_plan(fan()), version_label="version 8")
    assert [finding.code for finding in findings] == named


def test_a_task_the_product_lacks_is_named():
    _, findings = station_cards(
        fan(), plan_of(fan(tasks=(*TASKS, Task(number="999"))), ("999",)), version_label="1"
    )
    assert [finding.code for finding in findings] == ["unknown-task-in-plan"]


def test_models_have_a_column_each():
    tasks = (replace(TASKS[0], model_times=(ModelTime(model="B", time_ms=8400),)),)
    models = (Model(name="A", share=0.5), Model(name="B", share=0.5))
    product = replace(fan(tasks=tasks), models=models)
    plan = plan_of(product, ("010",))
    assert first_card(product, plan).tasks[0].model_times == ("6.4", "8.4")


def test_the_time_of_a_mix_is_weighted_by_shares():
    tasks = (replace(TASKS[0], model_times=(ModelTime(model="B", time_ms=8400),)),)
    models = (Model(name="A", share=0.5), Model(name="B", share=0.5))
    product = replace(fan(tasks=tasks), models=models)
    assert first_card(product, plan_of(product, ("010",))).work == "7.4"


def test_the_date_is_that_of_the_cards():
    assert first_card(dated=date(2026, 3, 1)).dated == "2026-03-01"


def test_the_code_holds_plain_text_without_an_address():
    assert first_card().code.content == "product FAN-20; line main; station 1; version 7"


def test_the_code_holds_the_operators_page():
    code = card_code(
        address="http://plant:8501/",
        product="P 1&2",
        line="main",
        station=3,
        version_label="revision C",
    )
    expected = "http://plant:8501/station?product=P+1%262&line=main&station=3&revision=C"
    assert code.content == expected


def test_a_complete_product_has_no_findings():
    assert check_cards(fan()) == ()


def test_steps_that_do_not_add_up_are_named():
    task = replace(
        TASKS[0], steps=(Step(text="Turn it", time_ms=3000), Step(text="Fit it", time_ms=3000))
    )
    assert codes(fan(tasks=(task,))) == ["step-times-differ"]


def test_half_timed_steps_are_named():
    task = replace(TASKS[0], steps=(Step(text="Turn a", time_ms=6400), Step(text="Turn b")))
    assert codes(fan(tasks=(task,))) == ["step-times-differ"]


def test_a_missing_picture_is_named():
    task = replace(TASKS[0], picture="gone.png")
    assert codes(fan(tasks=(task,))) == ["picture-missing"]


def test_characters_no_font_has_are_named_with_their_task(monkeypatch):
    monkeypatch.setattr("stationflow.cards.fonts.font_of", lambda character: None)
    task = replace(TASKS[0], name="Press \U00012000")  # a cuneiform sign
    found = check_cards(fan(tasks=(task,)))
    assert [(f.code, f.where) for f in found] == [("glyph-missing", "Task 010")]


KNOWN = {
    "Task 010: 30 kg. Lift with two persons or with the lifting aid.": {"lift_kg": 30.0},
    "Task 010: work with the guard closed only.": {"guarded": True},
    "Task 010: wear the tested wrist strap.": {"static_safe": True},
    "Task 010: only with solder certificate.": {"skill": "solder certificate"},
    "Task 010: whoever did task 070 does not do this.": {"independent_of": ("070",)},
}


@pytest.mark.parametrize("words", KNOWN)
def test_the_operator_reads_of_a_limit_at_the_station_of_its_task_only(words: str):
    limits = TaskLimits(**KNOWN[words])
    tasks = (replace(TASKS[0], limits=limits), *TASKS[1:])
    product = replace(fan(tasks=tasks), lines=(Line(lift_kg=25.0),))
    cards, _ = station_cards(product, fan_plan(product), version_label="version 7")
    assert [card.remarks for card in cards] == [(words,), ()]


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "Units only wait here"),
        ("de", "Hier wird nur gewartet"),
    ],
)
def test_a_station_where_units_only_wait_says_so(language: str, words: str):
    plan = fan_plan()
    waiting = replace(plan.result.stations[0], number=3, operators=())
    held = replace(plan.result.assignment, stations=(*plan.result.stations, waiting))
    plan = replace(plan, result=replace(plan.result, assignment=held))
    cards, _ = station_cards(fan(), plan, version_label="version 7", language=language)
    assert [words in tags(card) for card in cards] == [False, False, True]


def test_the_operator_reads_how_long_adhesive_cures():
    first, *_, last = TASKS
    lag = TimeLag(before=first.number, after=last.number, shortest_ms=90_000, longest_ms=300_000)
    product = replace(fan(), lags=(lag,))
    cards, _ = station_cards(product, fan_plan(product), version_label="version 7")
    assert cards[-1].remarks == (
        f"Task {last.number}: begin 90.0 s after the end of task {first.number} or later.",
        f"Task {last.number}: begin within 300.0 s after the end of task {first.number}.",
    )


def test_the_operator_reads_that_a_lift_above_the_index_is_for_two():
    # 12 kg at 500 mm: 23 x 25/50 x ... is below 11.5 kg, so the index is above 1
    lift = Lift(from_reach_mm=500, from_height_mm=750, to_height_mm=900, let_go=True)
    tasks = (replace(TASKS[0], lift=lift, limits=TaskLimits(lift_kg=12.0)), *TASKS[1:])
    remarks = first_card(fan(tasks=tasks)).remarks
    assert remarks == ("Task 010: 12 kg. Lift with two persons or with the lifting aid.",)


def test_a_mass_that_one_person_may_lift_is_no_remark():
    limits = TaskLimits(lift_kg=20.0)
    tasks = (replace(TASKS[0], limits=limits), *TASKS[1:])
    product = replace(fan(tasks=tasks), lines=(Line(lift_kg=25.0),))
    assert first_card(product).remarks == ()


def test_a_task_has_its_time_at_the_station_on_the_card():
    own = (StationTime(station=1, time_ms=(TASKS[0].time_ms or 0) + 5_000),)
    product = fan(tasks=(replace(TASKS[0], station_times=own), *TASKS[1:]))
    assert float(first_card(product).tasks[0].time) == (TASKS[0].time_ms or 0) / 1000 + 5


def test_a_check_without_limit_and_reaction_is_named_for_both():
    task = replace(TASKS[0], checks=(Check(text="look"),))
    assert codes(fan(tasks=(task,))) == ["check-without-limit", "check-without-reaction"]


@pytest.mark.parametrize("hazard", list(Hazard))
def test_every_hazard_has_a_symbol(hazard):
    assert (HERE / "symbols" / f"{hazard}.svg").is_file()


@pytest.mark.parametrize("word", sorted({w for a in HAZARD_ADVICE.values() for w in a.protection}))
def test_every_protective_equipment_has_a_symbol(word):
    assert (HERE / "symbols" / f"{protection_symbol(word)}.svg").is_file()


def lamp_card(**line):
    """Return the card of the task at which two boards join, with the feeder changed."""
    feeder = replace(BOARD_LAMP.line("board"), **line)
    product = replace(BOARD_LAMP, lines=(BOARD_LAMP.lines[0], feeder))
    return first_card(product, plan_of(product, ("30",)))


def test_the_unit_of_a_feeder_stands_among_the_parts_at_its_join():
    parts = [(p.quantity, p.unit, p.name) for p in lamp_card().parts]
    assert ("2", "pcs", "unit of Board feeder") in parts


def test_the_unit_of_a_feeder_stands_at_its_further_join_too():
    joins = (FurtherJoin(line="board", feeds="main", join="10", quantity=3),)
    product = replace(BOARD_LAMP, joins=joins)
    card = first_card(product, plan_of(product, ("10",)))
    assert ("3", "unit of Board feeder") in [(p.quantity, p.name) for p in card.parts]


def test_the_quantity_of_a_feeder_is_that_of_the_line():
    assert "1.5" in [p.quantity for p in lamp_card(quantity=1.5).parts]


def test_the_unit_of_a_feeder_stands_at_no_other_task():
    product = BOARD_LAMP
    card = first_card(product, plan_of(product, ("10", "20")))
    assert [p.name for p in card.parts if "Board" in p.name] == []


def test_a_unit_that_is_listed_as_a_part_stands_once():
    use = PartUse(part="board", quantity=2)
    tasks = tuple(replace(t, parts=(use,)) if t.number == "30" else t for t in BOARD_LAMP.tasks)
    product = replace(BOARD_LAMP, tasks=tasks)
    card = first_card(product, plan_of(product, ("30",)))
    assert [p.number for p in card.parts] == ["board"]


def test_what_holds_for_several_tasks_is_one_sentence():
    tasks = tuple(replace(task, limits=TaskLimits(static_safe=True)) for task in TASKS[:2])
    product = fan(tasks=(*tasks, *TASKS[2:]))
    here = first_card(product)
    named = ", ".join(t.task for t in here.tasks if t.task in {task.number for task in tasks})
    assert here.remarks == (f"Task {named}: wear the tested wrist strap.",)
