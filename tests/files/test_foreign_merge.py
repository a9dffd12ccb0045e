"""What a stranger's tasks make of a product. Worked out by hand."""

import pytest

from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.foreign_sheet import ForeignSheet
from stationflow.files.foreign.import_report import ImportedRow, SheetImport
from stationflow.files.foreign.into_product import ChangeState, MergeMode, merge_parts, merge_tasks
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.model import Line, Model, Part, Product, Step, Task

OLD = Product(
    code="P",
    tasks=(
        Task(number="10", name="Fit", time_ms=12_000, steps=(Step(text="Lift", picture="a.png"),)),
        Task(number="20", name="Turn", time_ms=3000, predecessors=("10",)),
        Task(number="90", name="Pack", time_ms=8000, predecessors=("20",)),
    ),
)


def imported(*rows: tuple[object, ...], head=("Number", "Task name", "Time [s]")) -> SheetImport:
    sheet = ForeignSheet(name="S", rows=(head, *rows))
    return read_rows(sheet, guess_mapping(sheet), {}, OLD)


SHEET = imported((10, "Fit", 14.5), (20, "Turn", None), (30, "Test", 5))


def states(mode: MergeMode) -> dict[str, ChangeState]:
    return {change.number: change.state for change in merge_tasks(OLD, SHEET, mode).changes}


def test_update_adds_new_tasks_and_changes_those_of_the_same_number():
    assert states(MergeMode.UPDATE) == {
        "10": ChangeState.CHANGED,
        "20": ChangeState.SAME,
        "30": ChangeState.NEW,
        "90": ChangeState.SKIPPED,
    }


def test_add_leaves_what_is_there_alone():
    assert states(MergeMode.ADD)["10"] == ChangeState.SKIPPED


def test_replace_removes_what_the_sheet_does_not_have():
    assert states(MergeMode.REPLACE)["90"] == ChangeState.REMOVED


@pytest.mark.parametrize("mode", [MergeMode.UPDATE, MergeMode.REPLACE])
def test_what_the_sheet_says_nothing_about_is_kept(mode: MergeMode):
    task = merge_tasks(OLD, SHEET, mode).product.tasks[0]
    assert (task.steps, task.time_ms) == (OLD.tasks[0].steps, 14_500)


def test_an_empty_cell_changes_nothing():
    assert merge_tasks(OLD, SHEET, MergeMode.UPDATE).product.tasks[1] == OLD.tasks[1]


def test_an_empty_predecessors_cell_means_none():
    sheet = imported((20, "Turn", 3, None), head=("Number", "Task name", "Time [s]", "Pred"))
    assert merge_tasks(OLD, sheet, MergeMode.UPDATE).product.tasks[1].predecessors == ()


def test_each_change_is_told_in_words():
    change = merge_tasks(OLD, SHEET, MergeMode.UPDATE).changes[0]
    assert change.differences == ("time: 12 s → 14.5 s",)


def test_tasks_keep_their_order_and_new_ones_follow():
    merged = merge_tasks(OLD, SHEET, MergeMode.UPDATE).product
    assert [task.number for task in merged.tasks] == ["10", "20", "90", "30"]


def test_replace_keeps_the_tasks_of_other_lines():
    board = Task(number="B1", line="board")
    product = Product(code="P", lines=(Line(), Line(name="board", feeds="main")),
                      tasks=(*OLD.tasks, board))  # fmt: skip
    assert board in merge_tasks(product, SHEET, MergeMode.REPLACE).product.tasks


def test_what_still_names_a_removed_task_is_told():
    board = Task(number="B1", line="board", predecessors=("90",))
    product = Product(code="P", lines=(Line(), Line(name="board", feeds="main")),
                      tasks=(*OLD.tasks, board))  # fmt: skip
    notes = merge_tasks(product, SHEET, MergeMode.REPLACE).notes
    assert "Task B1 still names 90, which is removed, as its predecessor." in notes


def test_a_line_that_only_the_sheet_knows_is_added_and_told():
    sheet = imported((40, "Solder", "board"), head=("Number", "Task name", "Line"))
    merge = merge_tasks(OLD, sheet, MergeMode.UPDATE)
    assert (merge.product.lines[1], merge.notes[0]) == (
        Line(name="board", feeds="main"),
        "Line 'board' was added as a feeder; enter on the Pace page where it joins.",
    )


def test_models_that_only_the_sheet_knows_are_added_with_equal_shares():
    head = ("Number", "Task name", "Time model A [s]", "Time model B [s]")
    merge = merge_tasks(OLD, imported((10, "Fit", 5, 7), head=head), MergeMode.UPDATE)
    assert merge.product.models == (Model(name="A", share=0.5), Model(name="B", share=0.5))


def test_parts_are_updated_field_by_field():
    product = Product(code="P", parts=(Part(number="P-1", name="Bolt", container="B2"),))
    row = ImportedRow(record=Part(number="P-1", quantity=4), row=2, given=frozenset({"quantity"}))
    merge = merge_parts(product, SheetImport(rows=(row,)), MergeMode.UPDATE)
    assert (merge.product.parts[0].name, merge.changes[0].differences) == (
        "Bolt",
        ("quantity: empty → 4",),
    )
