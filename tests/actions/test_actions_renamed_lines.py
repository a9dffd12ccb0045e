"""A line that gets another name: all that is made of it goes on under the new one."""

import io
import zipfile
from dataclasses import replace
from datetime import date

import pytest
from small_products import ANA, BOARD_LAMP, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state, plan_states
from stationflow.actions.opening.whole_plan import gathered_plan
from stationflow.actions.plans import curves, plan_keeping
from stationflow.actions.plans.confirming import confirm_plan
from stationflow.actions.products.going_back import go_back_to
from stationflow.actions.products.products_out import folder_archive
from stationflow.actions.products.saving import save_edit
from stationflow.actions.showing.card_printing import FileKind, PrintForm, cards_of_plan
from stationflow.actions.showing.comparing import compare_stored
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.editing.renaming import renamed_lines, with_line_names
from stationflow.files.product.product_folder import read_product_folder
from stationflow.line.whole_line import whole_line
from stationflow.model import BalanceSettings, CurveSettings, Line

CODE = "L-200"
RULE = BalanceSettings(method="largest-candidate")
NAMES = {"board": "pcb", "main": "final"}
RENAMED = with_line_names(BOARD_LAMP, NAMES)


@pytest.fixture
def began(store):
    """Return the lamp as it was when a plan of each line and the curve of the feeder were made."""
    draft = put_in(store, BOARD_LAMP)
    for line in NAMES:
        plan_keeping.balance_and_keep(store, draft, line, RULE, **ANA)
    curves.curve_and_keep(store, draft, "board", CurveSettings(), **ANA)
    return draft


@pytest.fixture
def opened(store, began):
    """Return the lamp with both lines renamed, and the remark changed afterwards."""
    saved = save_edit(store, RENAMED, base=began, **ANA).draft
    edit = replace(saved.product, remarks="Both lines have another name.")
    return opened_draft(store, save_edit(store, edit, base=saved, **ANA).draft)


def in_force(store, line: str):
    return store.plan_in_force(CODE, line)


def test_its_plan_and_its_curve_are_up_to_date(store, opened):
    states = [plan_state(opened, in_force(store, line)) for line in ("final", "pcb")]
    assert [(state.differences, state.verdict) for state in states] == [((), ())] * 2
    assert curves.curve_state(opened, "pcb").differences == ()


def test_of_an_edit_since_only_the_edit_is_said(store, opened):
    tasks = tuple(
        replace(t, time_ms=13_000) if t.number == "b1" else t for t in opened.product.tasks
    )
    draft = store.draft(CODE)
    edited = store.save(replace(draft.product, tasks=tasks), base=draft.checksum, **ANA)
    now = opened_draft(store, edited)
    (said,) = plan_state(now, in_force(store, "pcb")).differences
    assert ("b1" in said, "12" in said, "13" in said) == (True, True, True)
    assert curves.curve_state(now, "pcb").differences == (said,)
    assert plan_state(now, in_force(store, "final")).differences == ()


def test_cards_and_comparison_find_its_plan(store, opened):
    (state,) = plan_states(opened, "pcb", archived=False)
    cards = cards_of_plan(opened, state)
    assert [task.task for card in cards.cards for task in card.tasks] == ["b1", "b2", "b3"]
    assert cards.file(FileKind.PDF, PrintForm(), date(2026, 3, 2)).startswith(b"%PDF")
    assert [plan.holds for plan in compare_stored([state], 0, opened.product).plans] == [True]


def test_the_whole_line_finds_the_plans(opened):
    gathered = gathered_plan(opened)
    found = [(each.line, each.result.line, each.plan_id) for each in gathered.plan.lines]
    # The plans were made of the feeder first.
    assert (found, gathered.old) == ([("final", "final", 2), ("pcb", "pcb", 1)], ())
    assert whole_line(gathered.product, gathered.plan) is not None


def test_a_second_solver_can_be_asked(store, opened):
    assert confirm_plan(store, in_force(store, "pcb"), seconds=20.0, **ANA).agrees


def test_a_folder_holds_the_plans_up_to_date(store, opened, tmp_path):
    with zipfile.ZipFile(io.BytesIO(folder_archive(store, CODE))) as archive:
        archive.extractall(tmp_path / "out")
    plans = {plan.line: plan for plan in read_product_folder(tmp_path / "out").plans}
    assert plans.keys() == {"final", "pcb"}
    assert [plan.inputs for plan in plans.values()] == [
        plan_inputs_checksum(opened.product, line) for line in plans
    ]


def test_the_same_balance_gives_the_same_plan(store, opened):
    again = plan_keeping.balance_and_keep(store, store.draft(CODE), "pcb", RULE, **ANA)
    assert [plan.plan_id for plan in store.plans(CODE, "pcb")] == [again.plan_id]


def test_a_plan_whose_facts_were_summed_up_otherwise_is_up_to_date_too(store, began):
    old = replace(in_force(store, "board"), inputs="as an earlier release did", name="old")
    old = store.add_plan(old, **ANA)
    draft = save_edit(store, RENAMED, base=began, **ANA).draft
    kept = in_force(store, "pcb")
    assert (kept.plan_id, plan_state(opened_draft(store, draft), kept).differences) == (
        old.plan_id,
        (),
    )


def test_of_two_editors_one_renames_and_the_other_edits(store, began):
    times = tuple(replace(t, time_ms=13_000) if t.number == "b1" else t for t in BOARD_LAMP.tasks)
    store.save(replace(BOARD_LAMP, tasks=times), base=began.checksum, **ANA)
    saved = save_edit(store, RENAMED, base=began, **ANA)
    assert saved.conflicts == ()
    assert (in_force(store, "pcb").number, in_force(store, "board")) == (1, None)


def test_of_two_editors_the_other_renames_and_one_edits(store, began):
    store.save(RENAMED, base=began.checksum, **ANA)
    save_edit(store, replace(BOARD_LAMP, remarks="Edited"), base=began, **ANA)
    assert (in_force(store, "pcb").number, in_force(store, "board")) == (1, None)


def test_going_back_to_the_old_name_takes_the_plans_along(store, opened, began):
    go_back_to(store, store.draft(CODE), began.checksum, **ANA)
    assert (in_force(store, "board").number, in_force(store, "pcb")) == (1, None)


def tasks_on(product, line: str):
    return tuple(replace(task, line=line) for task in product.tasks)


PCB = Line(name="pcb", feeds="main", join="30")
MAIN, BOARD = BOARD_LAMP.lines
KEPT = {
    "nothing": BOARD_LAMP,
    "a line taken out, another added": replace(BOARD_LAMP, lines=(MAIN, PCB)),
    "a line added": replace(BOARD_LAMP, lines=(MAIN, BOARD, PCB)),
    "all tasks on another line, the old one there": replace(
        BOARD_LAMP, lines=(MAIN, BOARD, PCB), tasks=tasks_on(BOARD_LAMP, "pcb")
    ),
    "one line out of two": replace(BOARD_LAMP, lines=(PCB,), tasks=tasks_on(BOARD_LAMP, "pcb")),
    "two of one name": replace(BOARD_LAMP, lines=(MAIN, replace(BOARD, name="main"))),
    "lines in another order": replace(BOARD_LAMP, lines=(BOARD, MAIN)),
}


@pytest.mark.parametrize("after", KEPT.values(), ids=KEPT)
def test_what_is_no_new_name(after):
    assert renamed_lines(BOARD_LAMP, after) == {}


@pytest.mark.parametrize("names", [{"board": "pcb"}, NAMES, {"main": "board", "board": "main"}])
def test_new_names_are_found_forth_and_back(names):
    after = with_line_names(BOARD_LAMP, names)
    assert renamed_lines(BOARD_LAMP, after) == names
    assert renamed_lines(after, BOARD_LAMP) == {new: old for old, new in names.items()}


def test_a_task_that_another_editor_left_at_the_old_name_is_no_hindrance():
    after = with_line_names(BOARD_LAMP, {"board": "pcb"})
    late = replace(BOARD_LAMP.tasks[-1], number="b4")
    theirs = replace(BOARD_LAMP, tasks=(*BOARD_LAMP.tasks, late))
    both = replace(after, tasks=(*after.tasks, late))
    assert renamed_lines(theirs, both) == {"board": "pcb"}
