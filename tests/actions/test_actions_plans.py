"""Plans in force, out of date, and their cards."""

import re
from dataclasses import replace
from datetime import date, timedelta

import pypdfium2
import pytest
from small_products import ANA, BOARD_LAMP, BROKEN, LAMP, MORNING, TOO_LONG, a_picture, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import GONE, plan_state
from stationflow.actions.plans import plan_keeping
from stationflow.actions.plans.opened_balancing import balance_opened
from stationflow.actions.products.picture_edits import replace_picture
from stationflow.actions.products.product_upkeep import import_workbook
from stationflow.actions.products.products_out import export_workbook
from stationflow.actions.showing.card_printing import FileKind, PrintForm, cards_of_plan
from stationflow.actions.showing.checking import check_opened
from stationflow.actions.showing.explaining import explain_opened
from stationflow.actions.showing.pacing import cycle_in_force_s
from stationflow.balancing import plan_inputs
from stationflow.model import Author, BalanceSettings, Demand

RULE = BalanceSettings(method="largest-candidate")
OTHER = BalanceSettings(method="ranked-positional-weight")
LATER = {"by": Author("ben", MORNING + timedelta(hours=1))}


@pytest.fixture
def lamp(store):
    return put_in(store, LAMP)


@pytest.fixture
def plan(store, lamp):
    return plan_keeping.balance_and_keep(store, lamp, "main", RULE, **ANA)


def edited(store, **changes):
    """Save a change of the lamp and return its new draft."""
    draft = store.draft("L-100")
    product = replace(draft.product, **changes)
    return store.save(product, base=draft.checksum, **LATER)


def with_task(number: str, **changes):
    return tuple(replace(t, **changes) if t.number == number else t for t in LAMP.tasks)


def state_of(store, plan):
    return plan_state(opened_draft(store, store.draft("L-100")), plan)


def text_of(pdf: bytes) -> list[str]:
    return [p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(pdf)]


def cards_of(store, plan):
    opened = opened_draft(store, store.draft("L-100"))
    return cards_of_plan(opened, plan_state(opened, plan))


def printed(store, plan) -> list[str]:
    cards = cards_of(store, plan)
    return text_of(cards.file(FileKind.PDF, PrintForm(), date(2026, 3, 2)))


def test_a_card_names_the_version_its_words_are_from(store, plan):
    draft = store.draft("L-100")
    tasks = (replace(draft.product.tasks[0], name="Place the heavy base"), *draft.product.tasks[1:])
    saved = store.save(replace(draft.product, tasks=tasks), base=draft.checksum, **LATER)
    card = cards_of(store, plan).cards[0]
    assert (card.tasks[0].name, card.version_label) == ("Place the heavy base", "version 2")
    assert saved.version == 2


def test_the_first_plan_of_a_line_is_put_in_force(store, plan):
    assert plan.in_force


def test_a_second_plan_is_not_put_in_force(store, lamp, plan):
    assert not plan_keeping.balance_and_keep(store, lamp, "main", OTHER, **ANA).in_force


def test_the_engineer_can_put_the_second_plan_in_force(store, lamp, plan):
    second = plan_keeping.balance_and_keep(store, lamp, "main", OTHER, **ANA)
    store.put_in_force("L-100", second.plan_id, **ANA)
    assert [p.plan_id for p in store.plans("L-100") if p.in_force] == [second.plan_id]


def test_the_same_plan_is_not_stored_twice(store, lamp, plan):
    again = plan_keeping.balance_and_keep(store, lamp, "main", RULE, **LATER)
    assert (again, store.plans("L-100")) == (plan, [plan])
    assert plan_keeping.kept_words(again, LATER["by"]) == (
        "The same as plan 1, which is there already: nothing new is stored."
    )


def test_a_plan_that_was_archived_comes_back_when_it_is_made_once_more(store, lamp, plan):
    second = plan_keeping.balance_and_keep(store, lamp, "main", OTHER, **ANA)
    store.note_plan("L-100", second.plan_id, archived=True, **ANA)
    again = plan_keeping.balance_and_keep(store, lamp, "main", OTHER, **LATER)
    assert (again.plan_id, again.archived) == (second.plan_id, False)


def test_after_a_change_of_times_the_same_stations_are_another_plan(store, plan):
    draft = edited(store, tasks=with_task("10", time_ms=LAMP.tasks[0].time_ms - 1000))
    again = plan_keeping.balance_and_keep(store, draft, "main", RULE, **LATER)
    assert (again.number, len(store.plans("L-100"))) == (2, 2)


def test_the_command_says_that_a_plan_is_stored_already(store, lamp, plan):
    result = balance_opened(opened_draft(store, lamp), "main", RULE)
    said = [(f.severity, f.message) for f in result.findings if f.code == "same-plan"]
    assert said == [("note", "The same as plan 1: asked alike, and the same stations came out.")]


def test_plans_are_numbered_for_each_line(store):
    draft = put_in(store, BOARD_LAMP)
    made = [
        plan_keeping.balance_and_keep(store, draft, line, settings, **ANA)
        for line, settings in (("main", RULE), ("board", RULE), ("main", OTHER))
    ]
    assert [(plan.line, plan.number) for plan in made] == [("main", 1), ("board", 1), ("main", 2)]


def test_a_plan_names_the_version_it_was_made_from(lamp, plan):
    assert (plan.product_version, plan.product_checksum) == (lamp.version, lamp.checksum)


def test_a_plan_is_named_after_what_came_out(plan):
    said = ("3 stations", "60", "largest candidate")
    assert [words for words in said if words not in plan.name] == []


def test_a_method_with_a_name_of_capitals_keeps_them(store, lamp):
    plan = plan_keeping.balance_and_keep(
        store, lamp, "main", BalanceSettings(method="comsoal"), **ANA
    )
    assert plan.name.endswith(", COMSOAL")


@pytest.mark.parametrize("product", [BROKEN, TOO_LONG], ids=lambda p: p.name)
def test_without_stations_nothing_is_stored(store, product):
    draft = put_in(store, product)
    plan_keeping.balance_and_keep(store, draft, "main", RULE, **ANA)
    assert store.plans(product.code) == []


def test_without_stations_the_findings_say_why(store):
    draft = put_in(store, TOO_LONG)
    plan = plan_keeping.balance_and_keep(store, draft, "main", RULE, **ANA)
    assert plan.result.findings[0].code == "task-longer-than-limit"


def test_a_plan_of_the_product_as_it_is_is_up_to_date(store, plan):
    assert state_of(store, plan).differences == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"tasks": with_task("20", time_ms=28_000)}, "Task 20, time: 25 s → 28 s."),
        ({"tasks": with_task("20", predecessors=())}, "Task 20, after: 10 → empty."),
        ({"tasks": LAMP.tasks[:4]}, "Task 50: taken out."),
        ({"demand": replace(LAMP.demand, quantity=500)}, "Good units wanted: 480 → 500."),
    ],
)
def test_an_out_of_date_plan_names_what_differs(store, plan, changes, said):
    edited(store, **changes)
    assert state_of(store, plan).differences == (said,)


def test_another_name_leaves_a_plan_up_to_date(store, plan):
    edited(store, name="Reading lamp")
    assert not state_of(store, plan).is_out_of_date


def test_a_change_that_is_taken_back_leaves_a_plan_up_to_date(store, plan):
    edited(store, tasks=with_task("20", time_ms=28_000))
    store.undo("L-100", **LATER)
    assert not state_of(store, plan).is_out_of_date


def test_the_verdict_says_which_rule_is_broken_now(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))  # no longer fits beside any other task
    assert [f.code for f in state_of(store, plan).verdict] == ["station-over-limit"]


def test_the_verdict_is_empty_when_the_plan_still_holds(store, plan):
    edited(store, tasks=with_task("20", time_ms=20_000))
    assert state_of(store, plan).verdict == ()


def test_an_out_of_date_plan_is_counted_by_today_and_says_what_it_was_made_for(store, plan):
    # By hand: 10 + 20 were 55 s and are 58 s; 28 800 s a day for 500 are 57.6 s, for 480 60 s.
    demand = replace(LAMP.demand, quantity=500)
    edited(store, tasks=with_task("20", time_ms=28_000), demand=demand)
    state = state_of(store, plan)
    assert state.result.loads == (58.0, 55.0, 40.0)
    assert state.judged_words == (
        "Judged by today's times and demand: limit 57.6 s, cycle time 58.0 s. "
        "It was made for limit 60.0 s, cycle time 55.0 s."
    )


def test_check_says_what_speaks_today_against_the_plan_in_force(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))
    opened = opened_draft(store, store.draft("L-100"))
    codes = {finding.code for finding in check_opened(opened)}
    assert {"plan-out-of-date", "station-over-limit"} <= codes


def test_check_says_what_speaks_against_the_plans_of_all_lines_together(store, plan):
    edited(store, lines=(replace(LAMP.lines[0], pitch_m=1.5, hall_m=4),))
    codes = {finding.code for finding in check_opened(opened_draft(store, store.draft("L-100")))}
    assert "line-too-long" in codes  # three stations of 1.5 m in 4 m


def test_explain_opens_the_plan_in_force_by_todays_times(store, plan):
    edited(store, tasks=with_task("20", time_ms=28_000))
    asked = explain_opened(opened_draft(store, store.draft("L-100")), "main", None)
    cycle = next(number for number in asked.numbers if number.key == "cycle-time")
    assert (cycle.value, cycle.check[:6]) == (58.0, "Agrees")


def test_what_is_made_a_week_follows_todays_times(store, plan):
    edited(store, tasks=with_task("20", time_ms=28_000))
    assert cycle_in_force_s(opened_draft(store, store.draft("L-100"))) == 58.0


def test_an_out_of_date_plan_is_never_made_again(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))
    state_of(store, plan)
    assert [p.result for p in store.plans("L-100")] == [plan.result]


def test_a_plan_of_a_draft_with_a_circle_is_shown_with_a_verdict(store, plan):
    edited(store, tasks=with_task("10", predecessors=("50",)))
    assert state_of(store, plan).verdict != ()


def test_cards_of_a_plan_name_every_task(store, plan):
    text = " ".join(" ".join(printed(store, plan)).split())
    assert [t.name for t in LAMP.tasks if t.name not in text] == []


def test_cards_of_a_draft_say_so(store, plan):
    assert all("DRAFT" in page for page in printed(store, plan))


def test_cards_that_would_be_others_today_are_marked_and_no_other(store, plan):
    # of three cards only one has task 20
    edited(store, tasks=with_task("20", time_ms=58_000))
    marked = ["OUT OF DATE" in page for page in printed(store, plan)]
    assert marked == ["Screw on foot" in page for page in printed(store, plan)]
    assert marked.count(True) == 1


def test_all_cards_are_marked_when_demand_asks_for_another_pace(store, plan):
    # the station time stands on every card
    edited(store, demand=Demand(quantity=500))
    assert all("OUT OF DATE" in page for page in printed(store, plan))


def test_a_card_that_is_not_out_of_date_is_a_draft(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))
    assert all(("DRAFT" in page) != ("OUT OF DATE" in page) for page in printed(store, plan))


def test_cards_of_an_out_of_date_plan_print_from_its_own_version(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000, name="Glue on foot"))
    text = " ".join(" ".join(printed(store, plan)).split())
    assert ("Screw on foot" in text, "Glue on foot" in text) == (True, False)


def test_cards_of_an_out_of_date_plan_keep_their_old_times(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))
    assert "58.0 s" not in " ".join(printed(store, plan))


def test_cards_of_an_out_of_date_plan_keep_their_old_picture(store, plan):
    before = cards_of(store, plan).pictures
    draft = store.draft("L-100")
    product, contents = replace_picture(draft.product, "base.png", "red.png", a_picture("red"))
    product = replace(product, tasks=with_task("20", time_ms=58_000))
    store.save(product, base=draft.checksum, contents=contents, **LATER)
    assert cards_of(store, plan).pictures == before


def test_cards_of_an_out_of_date_plan_have_a_finding(store, plan):
    edited(store, tasks=with_task("20", time_ms=58_000))
    found = cards_of(store, plan).findings
    assert [f.code for f in found].count("plan-out-of-date") == 1


def test_one_card_is_a_file_of_its_own(store, plan):
    cards = cards_of(store, plan)
    (page,) = text_of(cards.file(FileKind.PDF, PrintForm(), date(2026, 3, 2), 2))
    assert re.search(r"station 2\b", page)


def test_the_layout_that_fits_most_is_told(store, plan):
    # Three short cards: each takes one page, however the sheet lies.
    form, why = cards_of(store, plan).fitting(None, None)
    assert (form, why) == (
        PrintForm(paper="a4", portrait=True),
        "A4 upright: 3 of 3 cards take one page (A4 across 3).",
    )


def test_the_preview_has_a_page_for_the_station_asked_for(store, plan):
    cards = cards_of(store, plan)
    pages = cards.pages(2, PrintForm(portrait=True), ppi=30)
    assert [page[:4] for page in pages] == [b"\x89PNG"]


def test_a_corrected_picture_stands_on_the_cards_of_a_plan_that_is_still_up_to_date(store, plan):
    before = cards_of(store, plan).pictures
    draft = store.draft("L-100")
    product, contents = replace_picture(draft.product, "base.png", "red.png", a_picture("red"))
    store.save(product, base=draft.checksum, contents=contents, **LATER)
    assert not state_of(store, plan).is_out_of_date
    assert cards_of(store, plan).pictures != before


def test_a_corrected_name_stands_on_the_cards_of_a_plan_that_is_still_up_to_date(store, plan):
    edited(store, tasks=with_task("20", name="Glue on foot"))
    text = " ".join(" ".join(printed(store, plan)).split())
    assert ("Screw on foot" in text, "Glue on foot" in text) == (False, True)
    assert "OUT OF DATE" not in text


def test_a_plan_that_keeps_no_inputs_is_compared_with_the_version_it_was_made_from(store, plan):
    older = replace(plan, inputs="")
    edited(store, name="Reading lamp")
    assert not state_of(store, older).is_out_of_date
    edited(store, demand=Demand(quantity=500))
    assert state_of(store, older).differences == (
        "Good units wanted: 480 → 500.",
        "Period of the demand: day → week.",
    )


def test_a_plan_keeps_what_it_rests_on_in_a_workbook(store, plan):
    edited(store, name="Reading lamp")  # so that its version is not that of the file
    content = export_workbook(store, "L-100")
    draft = import_workbook(store, content, new_code="L-102", **ANA).draft
    (came,) = store.plans("L-102")
    assert plan_state(opened_draft(store, draft), came).differences == ()


def test_a_plan_of_files_of_before_is_known_by_what_plans_kept_then(store, plan):
    before = plan_inputs._checksum_of_before(LAMP, "main")
    old = replace(plan, inputs=before, product_checksum="0" * 64)
    edited(store, name="Reading lamp")
    assert state_of(store, old).differences == ()
    edited(store, tasks=with_task("20", time_ms=25_001))
    assert state_of(store, old).differences == (GONE,)


def test_a_plan_of_before_goes_out_with_what_plans_keep_now(store, plan):
    now = plan.inputs
    old = replace(plan, inputs=plan_inputs._checksum_of_before(LAMP, "main"), number=0, name="old")
    kept = store.add_plan(old, **ANA)
    assert kept.inputs != now
    import_workbook(store, export_workbook(store, "L-100"), new_code="L-102", **ANA)
    assert {came.inputs for came in store.plans("L-102")} == {now}


def test_a_plan_of_before_of_a_line_that_is_called_otherwise_now_is_up_to_date(store):
    draft = put_in(store, BOARD_LAMP)
    plan_keeping.balance_and_keep(store, draft, "board", RULE, **ANA)
    line = replace(BOARD_LAMP.lines[1], name="PB")
    tasks = (replace(t, line="PB" if t.line == "board" else t.line) for t in BOARD_LAMP.tasks)
    product = replace(BOARD_LAMP, lines=(BOARD_LAMP.lines[0], line), tasks=tuple(tasks))
    draft = store.save(product, base=draft.checksum, **LATER)
    (plan,) = store.plans("L-200", "PB")
    old = replace(plan, inputs=plan_inputs._checksum_of_before(BOARD_LAMP, "board"))
    assert plan_state(opened_draft(store, draft), old).differences == ()


@pytest.mark.parametrize(
    ("changes", "differences"),
    [
        ({"name": "Reading lamp"}, ()),
        ({"tasks": with_task("20", time_ms=25_001)}, (GONE,)),
        ({"tasks": with_task("10", predecessors=("50",))}, (GONE,)),
        ({"demand": Demand(quantity=500)}, (GONE,)),
    ],
    ids=["a name", "a time", "a circle", "the demand"],
)
def test_a_plan_of_old_files_holds_while_its_loads_and_pace_do(store, plan, changes, differences):
    # As the release before wrote it into a workbook: no inputs, the checksum of another form.
    old = replace(plan, inputs="", product_checksum="0" * 64)
    edited(store, **changes)
    assert state_of(store, old).differences == differences
