"""What an engineer does on the Pace page, one sentence a test."""

import json
from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, EMPTY, LAMP, MIXED

from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import BalanceSettings, Break, Calendar, Demand, Period, Weekday


@pytest.fixture
def pace(show):
    return show(LAMP, "pace")


def test_the_station_time_is_shown(pace):
    metrics = {m.label: m.value for m in pace.test.metric}
    assert metrics["Station time"] == "60.0 s"  # 28 800 s a day for 480


def test_units_a_week_have_tenths_only_where_the_mean_has(show):
    page = show(replace(LAMP, demand=replace(LAMP.demand, yield_share=0.9)), "pace")
    metrics = {m.label: m.value for m in page.test.metric}
    # 480 a day on five days are 2400 good units; 2400 / 0.9 = 2666.67 are started.
    assert (metrics["Good units a week"], metrics["Starts a week"]) == ("2 400", "2 666.7")


def test_a_takt_too_short_to_be_written_is_not_called_nothing(show):
    page = show(replace(LAMP, demand=replace(LAMP.demand, quantity=1e9)), "pace")
    # 28 800 s / 1e9 units
    assert {m.label: m.value for m in page.test.metric}["Takt time"] == "under 0.1 s"


def test_bought_in_lines_are_left_out(show):
    board = replace(BOARD_LAMP.lines[1], bought_in=True)
    product = replace(BOARD_LAMP, lines=(BOARD_LAMP.lines[0], board), tasks=LAMP.tasks)
    tables = [set(frame.value.columns) for frame in show(product, "pace").test.dataframe]
    assert not any("Station time" in columns for columns in tables)  # one line: no list of all


def test_without_a_plan_the_page_does_not_say_that_the_demand_is_reached(show):
    page = show(LAMP, "pace")
    assert "once a plan is in force" in page.said
    assert "No overtime is needed" not in page.said


def test_the_page_says_what_is_missing_next_and_where(show):
    assert "**Missing next, on the Balance page:** No plan in force yet." in show(LAMP, "pace").said


def test_without_a_demand_the_page_says_what_to_enter(show):
    said = show(replace(LAMP, demand=Demand()), "pace").said
    assert "**Missing next:** No pace yet. Enter how many good units are wanted." in said


def test_with_a_plan_the_page_says_whether_the_demand_is_reached(show):
    page = show(LAMP, "balance")
    page.press("balance.run")
    page.go("pace")
    assert "No overtime is needed" in page.said


def test_a_demand_that_is_stored_changes_the_station_time(pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("960.0")
    pace.run()
    assert {m.label: m.value for m in pace.test.metric}["Station time"] == "30.0 s"


def test_a_demand_is_in_the_store(store, pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("100.0")
    pace.test.selectbox(key="pace.period.L-100").set_value(Period.SHIFT)
    pace.run()
    demand = store.draft("L-100").product.demand
    assert (demand.quantity, demand.period) == (100.0, Period.SHIFT)


def test_a_negative_demand_is_not_stored_and_that_is_said(store, pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("-5.0")
    pace.run()
    assert store.draft("L-100").product.demand == LAMP.demand
    assert pace.errors == (
        "Good units wanted: “-5.0” was not read: it must be at least 0. "
        "Until then 480 stays stored."
    )


def test_a_negative_demand_is_corrected_and_stored(store, pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("-5.0")
    pace.run()
    pace.test.text_input(key="pace.quantity.L-100").set_value("5.0")
    pace.run()
    assert (store.draft("L-100").product.demand.quantity, pace.errors) == (5.0, "")


def test_a_share_above_one_is_not_stored_and_that_is_said(store, pace):
    pace.test.text_input(key="pace.availability.L-100").set_value("90.0")
    pace.run()
    assert store.draft("L-100").product == LAMP
    assert "Availability (share): “90.0” was not taken: enter a share from 0 to 1" in pace.errors


def test_a_negative_cost_is_not_stored_and_that_is_said(store, pace):
    pace.test.text_input(key="pace.line_cost.L-100").set_value("-1.0")
    pace.run()
    assert store.draft("L-100").product == LAMP
    assert "“-1.0” was not read" in pace.errors
    assert "nothing is stored there" in pace.errors


def test_a_share_from_a_file_that_is_none_does_not_keep_the_rest_from_the_store(store, show):
    page = show(replace(LAMP, demand=replace(LAMP.demand, yield_share=2.0)), "pace")
    page.test.text_input(key="pace.quantity.L-100").set_value("100.0")
    page.run()
    assert store.draft("L-100").product.demand.quantity == 100.0


@pytest.mark.parametrize("typed", ["0,97", "0.97", " 97 % "])
def test_a_yield_is_read_as_in_a_file(store, pace, typed):
    pace.test.text_input(key="pace.yield_share.L-100").set_value(typed)
    pace.run()
    assert store.draft("L-100").product.demand.yield_share == 0.97
    assert pace.test.text_input(key="pace.yield_share.L-100").value == "0.97"


def test_what_is_typed_is_stored_when_the_page_is_left_at_once(store, pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("100")
    pace.go("balance")
    assert store.draft("L-100").product.demand.quantity == 100.0


def test_what_could_not_be_read_stands_there_when_the_page_is_left_and_opened_again(store, pace):
    pace.test.text_input(key="pace.quantity.L-100").set_value("many")
    pace.run()
    pace.go("balance")
    pace.go("pace")
    assert pace.test.text_input(key="pace.quantity.L-100").value == "many"
    assert "480 stays stored" in pace.errors


def test_working_days_are_stored_as_they_are_chosen(store, pace):
    pace.test.button_group(key="pace.days.L-100").set_value([Weekday.MONDAY, Weekday.TUESDAY])
    pace.run()
    assert store.draft("L-100").product.calendar.days == (Weekday.MONDAY, Weekday.TUESDAY)


def test_availability_makes_the_station_time_shorter(pace):
    pace.test.text_input(key="pace.availability.L-100").set_value("0.9")
    pace.run()
    assert {m.label: m.value for m in pace.test.metric}["Station time"] == "54.0 s"


def test_without_demand_the_page_says_what_to_enter(show):
    page = show(replace(LAMP, demand=Demand()), "pace")
    assert "Enter how many good units are wanted." in page.said


def test_a_new_row_of_shifts_shows_the_times_it_is_stored_with(show):
    tables = show(replace(LAMP, calendar=Calendar()), "pace").test.dataframe
    looks = [json.loads(table.proto.columns) for table in tables]
    (shifts,) = [look for look in looks if "Start" in look]
    assert (shifts["Start"]["default"], shifts["End"]["default"]) == ("06:00", "14:00")


def test_a_new_row_of_shifts_that_nobody_typed_into_is_no_shift(store, pace):
    pace.edit("shifts.L-100", added_rows=[{"Start": "06:00", "End": "14:00"}])
    assert [s.name for s in store.draft("L-100").product.calendar.shifts] == ["early"]


def test_without_shifts_the_page_says_what_to_enter(show):
    page = show(replace(LAMP, calendar=Calendar()), "pace")
    assert "Enter shifts with working time and working days." in page.said


def test_every_line_has_its_own_pace(show):
    page = show(BOARD_LAMP, "pace")
    assert "30.0 s" in page.said  # two boards in 60 s


def test_a_shift_is_typed_into_the_table(store, pace):
    pace.edit("shifts.L-100", added_rows=[{"Shift": "late", "Start": "14:30", "End": "23:00"}])
    assert [s.name for s in store.draft("L-100").product.calendar.shifts] == ["early", "late"]


def test_a_clock_time_that_is_none_is_told(pace):
    pace.edit("shifts.L-100", edited_rows={0: {"Start": "25:00"}})
    assert "25:00" in pace.errors


def test_a_clock_time_that_is_none_leaves_the_shift_as_it_was(store, pace):
    pace.edit("shifts.L-100", edited_rows={0: {"Start": "25:00"}})
    assert store.draft("L-100").product == LAMP


def test_a_shift_keeps_its_breaks_when_its_end_changes(store, pace):
    pace.edit("shifts.L-100", edited_rows={0: {"End": "15:00"}})
    shift = store.draft("L-100").product.calendar.shifts[0]
    assert (shift.end, shift.breaks) == ("15:00", (Break(name="lunch", minutes=30),))


def test_a_break_is_typed_into_the_table(store, pace):
    pace.edit(
        "breaks.L-100",
        added_rows=[{"Shift": "early", "Break or planned stop": "meeting", "Minutes": "10"}],
    )
    breaks = store.draft("L-100").product.calendar.shifts[0].breaks
    assert [(b.name, b.minutes) for b in breaks] == [("lunch", 30), ("meeting", 10)]


def test_breaks_follow_a_shift_that_gets_another_name(store, pace):
    pace.edit("shifts.L-100", edited_rows={0: {"Shift": "day"}})
    shift = store.draft("L-100").product.calendar.shifts[0]
    assert (shift.name, len(shift.breaks)) == ("day", 1)


def test_a_feeder_is_typed_into_the_table(store, pace):
    pace.edit("lines.L-100", added_rows=[{"Line": "board", "Feeds line": "main", "At task": "30"}])
    line = store.draft("L-100").product.line("board")
    assert (line.feeds, line.join, line.quantity) == ("main", "30", 1)


def test_tasks_follow_a_line_that_gets_another_name(store, show):
    show(BOARD_LAMP, "pace").edit("lines.L-200", edited_rows={1: {"Line": "pcb"}})
    assert [t.number for t in store.draft("L-200").product.tasks_of("pcb")] == ["b1", "b2", "b3"]


def test_plans_follow_a_line_whose_name_is_typed_twice(store, show):
    # Both edits are of one grid: the second starts from what the first stored.
    page = show(BOARD_LAMP, "pace")
    rule = BalanceSettings(method="largest-candidate")
    plan = balance_and_keep(store, store.draft("L-200"), "board", rule, **ANA)
    for name in ("pc", "pcb"):
        page.edit("lines.L-200", edited_rows={1: {"Line": name}})
        assert store.plan_in_force("L-200", name).plan_id == plan.plan_id
    page.go("balance")
    page.test.session_state["balance.line"] = "pcb"
    page.run()
    assert (page.errors, plan.name in page.said) == ("", True)


def test_times_follow_a_model_that_gets_another_name(store, show):
    show(MIXED, "pace").edit("models.L-400", edited_rows={0: {"Model": "Z"}})
    times = store.draft("L-400").product.tasks[0].model_times
    assert [t.model for t in times] == ["Z", "B"]


def test_shares_that_do_not_add_up_are_named(show):
    page = show(MIXED, "pace")
    page.edit("models.L-400", edited_rows={0: {"Share": "0.9"}})
    assert "add up to" in page.said


def test_a_yield_above_one_is_named(show):
    page = show(BOARD_LAMP, "pace")
    page.edit("lines.L-200", edited_rows={1: {"Yield": "1.5"}})
    assert "Enter a share between 0 and 1" in page.said


def test_a_number_that_breaks_a_line_is_told(store, show):
    page = show(BOARD_LAMP, "pace")
    page.edit("lines.L-200", edited_rows={1: {"Quantity per set": "-2"}})
    assert "“-2” was not read" in page.errors


def test_without_a_demand_a_line_shows_a_dash_for_its_starts(show):
    metrics = {m.label: m.value for m in show(EMPTY, "pace").test.metric}
    assert metrics["Starts a week"] == "-"


def test_a_clock_time_that_is_none_is_told_with_its_rule(pace):
    pace.edit("shifts.L-100", edited_rows={0: {"Start": "25:00"}})
    assert (
        "Row 1, Start: “25:00” was not read: "
        "a clock time is written 06:30, from 00:00 to 23:59. The cell was left as it was."
    ) in pace.errors
