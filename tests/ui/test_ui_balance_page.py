"""What an engineer does on the Balance and Cards pages, one sentence a test."""

from dataclasses import replace

import pytest
from small_plans import changed
from small_products import ANA, BOARD_LAMP, BROKEN, HEAVY_LAMP, LAMP, TOO_LONG, put_in

from stationflow.actions.plans import plan_keeping
from stationflow.actions.showing.card_printing import FileKind
from stationflow.balancing.balance import balance_product
from stationflow.model import (
    BalanceSettings,
    Confirmation,
    Demand,
    Direction,
    Ending,
    FinerGoal,
    Stopped,
)
from stationflow.ui import session
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import balance_settings
from stationflow.ui.plans.balance_settings import LIMIT, POSSIBLE, STATIONS, USUAL_WAY

QUICK = (
    "ranked-positional-weight", "comsoal", "largest-candidate", "kilbridge-wester",
    "most-followers",
)  # fmt: skip


@pytest.fixture
def balance(show):
    return show(LAMP, "balance")


@pytest.fixture
def balanced(balance):
    balance.press("balance.run")
    return balance


def metrics(page) -> dict[str, str]:
    return {m.label: m.value for m in page.test.metric}


def ask(page, goal: str) -> None:
    page.test.radio(key="balance.goal").set_value(goal)
    page.run()


def open_tab(page, name: str) -> None:
    page.test.session_state["balance.tab"] = name
    page.run()


def place_of_tabs(block, place: tuple[int, ...] = ()) -> tuple[int, ...] | None:
    """Return where the first tabs of a page stand: the turn in each block that holds them."""
    for turn, child in block.children.items():
        if child.type == "tab":
            return place
        if found := place_of_tabs(child, (*place, turn)) if hasattr(child, "children") else None:
            return found
    return None


def edit_foot(page, time_s: str) -> None:
    """Give the task Screw on foot another time, and come back."""
    page.go("tasks")
    page.edit("tasks.L-100.main", edited_rows={1: {"Time": time_s}})
    page.go("balance")


def test_a_line_without_a_plan_says_how_to_make_one(balance):
    assert "press Balance the line" in balance.said


@pytest.mark.parametrize("method", QUICK)
def test_the_line_is_balanced_by(balance, method):
    balance.test.selectbox(key="balance.method").set_value(method)
    balance.run()
    balance.press("balance.run")
    assert metrics(balance)["Stations"] == "3"  # by hand, see small_products.LAMP


def test_the_exact_method_runs_in_a_process_of_its_own(balance, store):
    balance.by_exact()
    balance.press("balance.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(60)
    balance.run()
    assert metrics(balance)["Stations"] == "3"


def test_the_exact_method_is_given_time_seed_cores_and_memory(balance, store):
    balance.by_exact()
    balance.test.text_input(key="balance.memory_mb").set_value("512")
    balance.test.text_input(key="balance.seed").set_value("7")
    balance.run()
    balance.press("balance.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(60)
    asked = store.plans("L-100")[0].asked
    assert (asked.seconds, asked.seed, asked.cores, asked.memory_mb) == (60.0, 7, 1, 512)


def test_a_rule_asks_for_no_memory(balance):
    assert "Memory (MiB)" not in [field.label for field in balance.test.text_input]


def test_a_second_solver_agrees_with_a_plan(balanced):
    balanced.press("balance.confirm")
    assert "CP-SAT 9.15 agrees: no plan has fewer than 3 stations." in balanced.said


def test_what_a_second_solver_said_stays_with_the_plan(balanced, store):
    balanced.press("balance.confirm")
    assert store.plans("L-100")[0].confirmation.agrees is True


def test_a_contradiction_is_told_in_red(balanced, monkeypatch):
    said = Confirmation(engine="e", agrees=False, said="It found a plan of 2 stations.")
    monkeypatch.setattr("stationflow.actions.plans.confirming.confirm", lambda *_, **__: said)
    balanced.press("balance.confirm")
    assert "It found a plan of 2 stations." in balanced.errors


def test_why_a_proof_is_missing_is_said(show, store):
    page = show(LAMP, "balance")
    draft = store.draft("L-100")
    settings = BalanceSettings(method="exact", limit=60.0, memory_mb=512)
    result = balance_product(LAMP, "main", settings)
    searched = changed(
        result, ending=Ending.FOUND, nodes=1234, memory_mb=511.7, stopped=Stopped.MEMORY
    )
    plan_keeping.save_plan(store, draft, searched, **ANA)
    page.run()
    assert "1234 partial plans, 512 MiB of memory." in page.said
    assert "The proof is missing: the memory bound of 512 MiB was reached." in page.said


def test_the_limit_is_the_station_time(balanced):
    assert metrics(balanced)["Limit"] == "60.0 s"


def test_the_lower_bound_is_shown(balanced):
    assert metrics(balanced)["Lower bound"] == "3"


def test_the_balance_efficiency_is_shown(balanced):
    assert metrics(balanced)["Balance efficiency"] == "83.3 %"  # 150 / 180


def test_a_plan_that_meets_the_bound_is_proven_best(balanced):
    assert "proven best" in balanced.said


def test_the_stations_name_their_tasks(balanced):
    open_tab(balanced, "Stations")
    assert all(f"{t.number} {t.name}" in balanced.said for t in LAMP.tasks)


def test_the_lifting_index_stands_beside_the_stations_where_a_lift_is_entered(balanced, show):
    open_tab(balanced, "Stations")
    assert "Lifting index" not in balanced.said
    page = show(HEAVY_LAMP, "balance")
    page.press("balance.run")
    open_tab(page, "Stations")
    assert "Lifting index" in page.said
    assert "composite lifting index" in page.said


def test_the_first_plan_is_put_in_force(store, balanced):
    assert store.plan_in_force("L-100", "main") is not None


def test_a_second_plan_is_put_in_force_by_a_button(store, balanced):
    first = store.plan_in_force("L-100", "main").plan_id
    balanced.test.selectbox(key="balance.method").select("most-followers")
    balanced.press("balance.run")
    balanced.press_first("balance.put_in_force.")
    assert store.plan_in_force("L-100", "main").plan_id != first


def test_a_plan_that_is_there_already_is_named_and_not_stored_again(store, balanced):
    balanced.press("balance.run")
    assert "The same as plan 1, which is there already" in balanced.said
    assert len(store.plans("L-100")) == 1


def test_a_limit_of_its_own_is_used(balance):
    ask(balance, LIMIT)
    balance.test.text_input(key="balance.limit.L-100.main").set_value("150.0")
    balance.run()
    balance.press("balance.run")
    assert metrics(balance)["Stations"] == "1"


def test_a_limit_with_a_decimal_comma_is_what_it_says(store, balance):
    ask(balance, LIMIT)
    balance.test.text_input(key="balance.limit.L-100.main").set_value("75,5")
    balance.run()
    balance.press("balance.run")
    assert store.plans("L-100")[0].asked.limit == 75.5


def test_a_limit_that_cannot_be_read_is_told_and_nothing_is_balanced(balance):
    ask(balance, LIMIT)
    balance.test.text_input(key="balance.limit.L-100.main").set_value("a minute")
    balance.run()
    assert "Limit of a station (s): “a minute” was not read" in balance.errors
    assert balance.test.button(key="balance.run").disabled


def test_what_was_chosen_is_there_when_the_page_was_left(balance):
    ask(balance, LIMIT)
    balance.test.text_input(key="balance.limit.L-100.main").set_value("75")
    balance.test.selectbox(key="balance.method").select("most-followers")
    balance.test.segmented_control(key="balance.direction").set_value(Direction.BACKWARDS)
    balance.run()
    balance.go("tasks")
    balance.go("balance")
    assert balance.test.text_input(key="balance.limit.L-100.main").value == "75"
    chosen = balance.test.session_state
    assert (chosen["balance.method"], chosen["balance.goal"], chosen["balance.direction"]) == (
        "most-followers",
        LIMIT,
        Direction.BACKWARDS,
    )


def test_another_product_has_choices_of_its_own(store, balance):
    put_in(store, BOARD_LAMP)
    balance.test.selectbox(key="balance.method").select("most-followers")
    balance.run()
    balance.test.session_state[session.PRODUCT] = BOARD_LAMP.code
    balance.run()
    assert balance.test.selectbox(key="balance.method").value == "ranked-positional-weight"
    balance.test.session_state[session.PRODUCT] = LAMP.code
    balance.run()
    assert balance.test.selectbox(key="balance.method").value == "most-followers"


def test_how_cards_are_printed_is_kept_when_the_page_was_left(balanced):
    balanced.go("cards")
    balanced.test.selectbox(key="cards.layout").set_value("a3-upright")
    balanced.test.toggle(key="cards.large_print").set_value(True)
    balanced.run()
    balanced.go("balance")
    balanced.go("cards")
    chosen = balanced.test.session_state
    fields = ("cards.layout", "cards.large_print")
    assert [chosen[field] for field in fields] == ["a3-upright", True]


def test_a_number_of_stations_gives_the_shortest_cycle(balance):
    ask(balance, STATIONS)
    balance.test.text_input(key="balance.stations.L-100.main").set_value("1")
    balance.run()
    balance.press("balance.run")
    assert metrics(balance)["Cycle time"] == "150.0 s"


def test_what_is_impossible_is_said(balance):
    ask(balance, POSSIBLE)
    balance.test.text_input(key="balance.stations.L-100.main").set_value("2")
    balance.run()
    balance.press("balance.run")
    assert "What is asked is impossible." in balance.errors


def test_a_task_longer_than_the_takt_is_named(show):
    page = show(TOO_LONG, "balance")
    page.press("balance.run")
    assert "Task 50" in page.said


def test_the_ways_out_of_a_task_that_is_too_long_are_named(show):
    page = show(TOO_LONG, "balance")
    page.press("balance.run")
    assert "parallel stations" in page.said


def test_a_broken_draft_says_what_to_cure(show):
    page = show(BROKEN, "balance")
    page.press("balance.run")
    assert "Time the task, or enter an estimate." in page.said


def test_without_demand_the_page_says_what_to_enter(show):
    page = show(replace(LAMP, demand=Demand()), "balance")
    page.press("balance.run")
    assert "Enter how many good units are wanted." in page.said


def test_all_lines_are_balanced_at_their_own_pace(store, show):
    show(BOARD_LAMP, "balance").press("balance.run_all")
    limits = {p.line: p.result.limit for p in store.plans("L-200")}
    assert limits == {"main": 60.0, "board": 30.0}


def test_an_edit_makes_the_plan_out_of_date(balanced):
    edit_foot(balanced, "28")
    assert "This plan is out of date." in balanced.said


def test_what_differs_is_named(balanced):
    edit_foot(balanced, "28")
    assert "Task 20, time: 25 s → 28 s." in balanced.said


def test_the_figures_of_a_plan_are_those_of_todays_times(balanced):
    edit_foot(balanced, "28")  # station 1 had 55 s
    assert metrics(balanced)["Cycle time"] == "58.0 s"
    assert "It was made for limit 60.0 s, cycle time 55.0 s." in balanced.said


def test_a_plan_that_breaks_a_rule_now_is_named(balanced):
    edit_foot(balanced, "59")
    open_tab(balanced, "Findings")
    assert "Move a task to another station" in balanced.said


def test_a_plan_that_still_holds_is_said_to(balanced):
    edit_foot(balanced, "20")
    assert "the plan still holds" in balanced.said


def test_balancing_again_makes_a_plan_that_is_up_to_date(balanced):
    edit_foot(balanced, "28")
    balanced.press("balance.run")
    assert "out of date" not in balanced.said


def test_the_tabs_stay_in_place_whatever_is_said_of_the_plan(balanced, store, monkeypatch):
    up_to_date = place_of_tabs(balanced.test.main)  # where they move, both stand for a moment
    edit_foot(balanced, "28")
    assert "out of date" in balanced.said
    assert place_of_tabs(balanced.test.main) == up_to_date
    (plan,) = store.plans("L-100")
    monkeypatch.setattr(job_views, "meanwhile", lambda *_: plan)
    balanced.run()
    assert "Meanwhile" in balanced.said
    assert place_of_tabs(balanced.test.main) == up_to_date is not None


def test_another_name_of_a_task_leaves_the_plan_up_to_date(balanced):
    balanced.go("tasks")
    balanced.edit("tasks.L-100.main", edited_rows={1: {"Task": "Glue on foot"}})
    balanced.go("balance")
    assert "out of date" not in balanced.said


# -- cards ----------------------------------------------------------------------------------


def test_cards_without_a_plan_say_how_to_make_one(show):
    assert "Balance it first" in show(LAMP, "cards").said


def test_there_is_a_card_for_each_station(balanced):
    balanced.go("cards")
    assert "3 cards" in balanced.said


def test_one_card_is_said_to_be_one(show):
    page = show(replace(LAMP, demand=replace(LAMP.demand, quantity=48)), "balance")
    page.press("balance.run")
    page.go("cards")
    assert '"1 card"' in page.said
    assert "1 cards" not in page.said


def test_cards_of_an_out_of_date_plan_are_said_to_be(balanced):
    edit_foot(balanced, "28")
    balanced.go("cards")
    assert "Task 20, time: 25 s → 28 s." in balanced.said


def test_the_language_of_the_cards_is_chosen_from_the_first(balanced):
    balanced.go("cards")
    assert balanced.test.selectbox(key="cards.language").index == 0


def test_the_preview_of_the_cards_is_a_picture(balanced):
    balanced.go("cards")
    assert "Card of station 1" in balanced.said


def test_the_cards_are_printed(balanced):
    balanced.go("cards")
    assert balanced.test.button(key="cards.print").label == "Print the cards (PDF)"


def test_the_card_shown_is_printed_by_one_click(balanced):
    balanced.go("cards")
    assert balanced.test.button(key="cards.print_one").label == "Print card 1"


def test_the_layout_that_fits_most_cards_is_said(balanced):
    balanced.go("cards")
    assert "A4 upright: 3 of 3 cards take one page (A4 across 3)." in balanced.said


@pytest.mark.parametrize("kind", list(FileKind))
def test_the_button_names_the_kind_of_file(balanced, kind):
    balanced.go("cards")
    balanced.test.selectbox(key="cards.format").set_value(kind)
    balanced.run()
    assert (
        balanced.test.button(key="cards.print").label == f"Print the cards ({kind.ending.upper()})"
    )


def test_large_print_takes_more_pages(balanced):
    balanced.go("cards")
    before = balanced.said.count("Card of station 1")
    balanced.test.toggle(key="cards.large_print").set_value(True)
    balanced.run()
    assert balanced.said.count("Card of station 1") >= before > 0


@pytest.mark.parametrize(("stations", "width"), [(60, "stretch"), (61, "content")])
def test_a_chart_fills_the_page_up_to_sixty_stations(show, monkeypatch, stations, width):
    drawn = []
    monkeypatch.setattr("streamlit.vega_lite_chart", lambda *_, **said: drawn.append(said["width"]))
    # at a limit of 60 s one task of 45 s to a station
    tasks = tuple(replace(LAMP.tasks[0], number=str(n), time_ms=45_000) for n in range(stations))
    show(replace(LAMP, tasks=tasks), "balance").press("balance.run")
    assert drawn == [width]


def test_the_page_says_why_it_cannot_be_less(show):
    page = show(LAMP, "balance")
    page.press("balance.run")
    said = page.said
    assert "Why it cannot be less." in said
    assert "the work content of 150 s needs 3 at 60 s" in said  # 150 / 60 = 2.5


def test_the_best_plan_proven_is_asked_for_at_first(store, show, monkeypatch):
    monkeypatch.setattr(balance_settings, "USUAL_WAY", USUAL_WAY)
    page = show(LAMP, "balance")
    assert page.test.segmented_control(key="balance.way").value == "Best plan, proven"
    assert "Rule" not in [field.label for field in page.test.selectbox]


def test_the_textbook_rules_are_one_click_away(store, show, monkeypatch):
    monkeypatch.setattr(balance_settings, "USUAL_WAY", USUAL_WAY)
    page = show(LAMP, "balance")
    page.test.segmented_control(key="balance.way").set_value("Textbook rule")
    page.run()
    page.press("balance.run")
    assert store.plans("L-100")[0].asked.method == "ranked-positional-weight"


def test_what_a_plan_breaks_now_stands_on_the_plan_in_red(balanced):
    edit_foot(balanced, "59")  # station 1 had 55 s at a limit of 60 s
    assert "This plan does not hold." in balanced.errors
    assert "longer than the limit" in balanced.errors


def test_a_plan_that_holds_shows_nothing_in_red(balanced):
    assert balanced.errors == ""


CLASHING = replace(
    LAMP,
    tasks=tuple(
        replace(task, limits=replace(task.limits, together="a", apart=("20",)))
        if task.number == "10"
        else replace(task, limits=replace(task.limits, together="a"))
        if task.number == "20"
        else task
        for task in LAMP.tasks
    ),
)


@pytest.fixture
def clashing(show):
    page = show(CLASHING, "balance")
    page.press("balance.run")
    return page


def test_what_cannot_all_hold_is_said_with_ways_out(clashing):
    assert "are kept apart" in clashing.said
    assert "balance.way.0" in [button.key for button in clashing.test.button]


def test_a_way_out_is_one_press_that_enters_it(store, clashing):
    clashing.press("balance.way.0")
    assert store.draft("L-100").product.tasks[0].limits.together == ""


def test_a_way_out_is_undone_by_one_press(store, clashing):
    clashing.press("balance.way.0")
    clashing.press("edit.undo")
    assert store.draft("L-100").product == CLASHING


def test_after_a_way_out_the_line_is_balanced(store, clashing):
    clashing.press("balance.way.0")
    clashing.press("balance.run")
    assert len(store.plans("L-100")) == 1


def test_a_way_out_that_asks_otherwise_stands_in_the_form(balance):
    ask(balance, POSSIBLE)
    balance.test.text_input(key="balance.stations.L-100.main").set_value("1")
    balance.run()
    balance.press("balance.run")
    said = next(b.label for b in balance.test.button if b.key == "balance.way.0")
    balance.press("balance.way.0")
    asked = balance.test.text_input(key="balance.stations.L-100.main").value
    assert said == f"Allow {asked} stations instead of 1"


def test_a_second_goal_runs_in_a_process_of_its_own(store, balance):
    balance.test.multiselect(key="balance.then").set_value([FinerGoal.SMOOTHEST])
    balance.run()
    balance.press("balance.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(60)
    (plan,) = store.plans("L-100")
    assert [reached.goal for reached in plan.result.proof.reached] == [FinerGoal.SMOOTHEST]


def test_what_came_of_a_second_goal_stands_below_the_plan(store, balance):
    asked = BalanceSettings(method=QUICK[0], then=(FinerGoal.SMOOTHEST,))
    plan_keeping.balance_and_keep(store, store.draft("L-100"), "main", asked, by=ANA["by"])
    balance.run()
    assert "Then smoothest: smoothness index" in balance.said
