"""What an engineer does on the Compare page, one sentence a test."""

from dataclasses import replace

import pytest
from small_plans import changed
from small_products import ANA, LAMP, put_in

from stationflow.actions.plans import plan_keeping
from stationflow.model import BalanceSettings
from stationflow.ui.jobs import job_views
from stationflow.ui.plans.compare_views import BEST

RULES = ("ranked-positional-weight", "largest-candidate", "most-followers")


@pytest.fixture
def compare(store, show):
    """Show the page with three plans; the first is in force."""
    draft = put_in(store, LAMP)
    for method in RULES:
        plan_keeping.balance_and_keep(store, draft, "main", BalanceSettings(method=method), **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = "L-100"
    page.go("compare")
    return page


def choose(page, number: int) -> None:
    page.test.selectbox(key="compare.plan.L-100.main").set_value(number)
    page.run()


def in_force(store) -> list[int]:
    return [plan.plan_id for plan in store.plans("L-100") if plan.in_force]


def test_a_line_without_a_plan_says_how_to_make_one(show):
    assert "This line has no plan yet." in show(LAMP, "compare").said


def test_the_plan_in_force_and_the_newest_are_compared_at_first(compare):
    assert compare.test.multiselect(key="compare.plans.L-100.main").value == [1, 3, 2]


def test_the_plan_in_force_is_the_base_at_first(compare):
    assert compare.test.selectbox(key="compare.base.L-100.main").value == 1


def test_another_base_can_be_chosen(compare):
    compare.test.selectbox(key="compare.base.L-100.main").set_value(3)
    compare.run()
    assert "In brackets: the difference from Most followers, 3 stations." in compare.said


def tables(compare) -> list[list[str]]:
    """Return the figures of each table of figures, from the top of the page."""
    frames = [frame.value for frame in compare.test.dataframe]
    return [list(frame["Figure"]) for frame in frames if "Figure" in frame]


def test_five_figures_decide_and_stand_first(compare):
    assert tables(compare)[0] == [
        "Stations",
        "Cycle time",
        "Balance efficiency on the cycle time",
        "Smoothness index",
        "Tasks that sit elsewhere",
    ]


def test_all_figures_are_one_click_away(compare):
    (folded,) = [e for e in compare.test.expander if e.label.startswith("All ")]
    assert len(folded.dataframe[0].value) > 20


def test_the_columns_say_method_and_stations(compare):
    assert "Ranked positional weight, 3 stations" in compare.test.dataframe[0].value.columns


def test_the_cycle_time_stands_beside_its_limit(compare):
    shown = compare.test.dataframe[0].value.set_index("Figure").loc["Cycle time"]
    assert shown["Ranked positional weight, 3 stations"].endswith(", limit 60.0 s")


def test_a_plan_that_does_not_hold_is_said_so_and_has_no_best_value(compare, store):
    # At 35 s a station no plan of the rules holds: task 50 alone takes 40 s.
    draft = store.draft("L-100")
    demand = replace(LAMP.demand, quantity=LAMP.demand.quantity * 60 / 35)
    store.save(replace(draft.product, demand=demand), base=draft.checksum, **ANA)
    compare.run()
    cells = compare.test.dataframe[0].value.to_string()
    assert ("does not hold" in cells, BEST in cells) == (True, False)


def is_open(compare, popover: str) -> bool:
    return compare.test.session_state[popover]


def test_the_popup_of_name_and_remark_closes_when_they_are_kept(compare):
    compare.test.session_state["compare.naming"] = True
    compare.run()
    compare.press("compare.keep_name")
    assert not is_open(compare, "compare.naming")


def test_the_popup_of_methods_closes_when_they_are_started(compare, monkeypatch):
    monkeypatch.setattr(job_views, "start", lambda *_: None)
    compare.test.session_state["compare.by_methods"] = True
    compare.run()
    compare.press("compare.run")
    assert not is_open(compare, "compare.by_methods")


def test_a_plan_is_put_in_force(compare, store):
    choose(compare, 2)
    compare.press_first("compare.put_in_force.")
    assert in_force(store) == [2]


def test_a_plan_is_opened_on_the_balance_page(compare):
    choose(compare, 2)
    compare.press("compare.open")
    assert compare.test.session_state["balance.plan.L-100.main"] == 2


def test_a_plan_is_archived(compare):
    choose(compare, 2)
    compare.press("compare.archive")
    assert compare.test.multiselect(key="compare.plans.L-100.main").value == [1, 3]


def test_a_plan_in_force_is_not_offered_to_be_archived(compare):
    choose(compare, 1)
    assert compare.test.button(key="compare.archive").disabled


def test_a_rule_made_again_gives_the_same_plan(compare, store):
    choose(compare, 2)
    compare.press("compare.make_again")
    assert len(store.plans("L-100")) == 3


def test_the_choice_of_plans_is_kept_when_the_page_is_left(compare):
    compare.test.multiselect(key="compare.plans.L-100.main").set_value([1, 2])
    compare.run()
    compare.go("pace")
    compare.go("compare")
    assert compare.test.multiselect(key="compare.plans.L-100.main").value == [1, 2]


def test_without_any_plan_chosen_the_page_says_what_to_do(compare):
    compare.test.multiselect(key="compare.plans.L-100.main").set_value([])
    compare.run()
    assert "Choose the plans to compare." in compare.said


def test_a_plan_that_was_given_can_be_compared(compare, store):
    plan = store.plans("L-100")[0]
    result = changed(plan.result, method="given", ending=None)
    store.add_plan(replace(plan, result=result, in_force=False), **ANA)
    compare.run()
    compare.test.multiselect(key="compare.plans.L-100.main").set_value([1, 4])
    compare.run()
    choose(compare, 4)
    assert compare.test.button(key="compare.make_again").disabled


def test_several_methods_are_run_at_once_and_their_plans_compared(compare, store):
    compare.test.multiselect(key="compare.methods.L-100.main").set_value(["comsoal", "exact"])
    compare.run()
    compare.press("compare.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(60)
    compare.run()
    assert compare.test.multiselect(key="compare.plans.L-100.main").value == [1, 3, 2, 4, 5]
