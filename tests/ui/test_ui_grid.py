"""How edits of a table are put into the records, without a browser."""

from dataclasses import replace

import pytest
from pydantic import TypeAdapter
from small_products import BOARD_LAMP, LAMP

from stationflow.model import (
    Break,
    Caution,
    Hazard,
    Line,
    Model,
    Part,
    PartUse,
    Product,
    Shift,
    StationSetting,
    Step,
    Task,
)
from stationflow.model.schema.columns import Kind
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.ui.grids.detail_tables import break_table, breaks_of, detail_table, with_breaks
from stationflow.ui.grids.grid_columns import (
    Column,
    grid_column,
    read,
    shown_number,
    shown_time,
)
from stationflow.ui.grids.grid_state import GridEdit, GridState, cells_of, judged, rows_of
from stationflow.ui.tasks.task_table import edited_product, task_columns
from stationflow.ui.text import plain
from stationflow.units import TimeUnit


def grid_of(table: str, column: str, product: Product = LAMP) -> Column:
    """Return one column of an editable table."""
    found = TABLE[table].column(column)
    assert found is not None
    return grid_column(TABLE[table], found, product)


COLUMNS = (grid_of("steps", "text"), grid_of("steps", "time_s"))
STEPS = (Step(text="Lay", time_ms=4000), Step(text="Press", time_ms=5000), Step(text="Turn"))


def state_of(records=STEPS, columns=COLUMNS, labels=None) -> GridState:
    """Return the state of a grid that was just drawn."""
    rows = rows_of(records, columns)
    labels = list(labels or range(len(records)))
    return GridState(
        turn=1,
        frame=None,
        drawn=rows,
        records=tuple(records),
        labels=labels,
        known=dict(zip(labels, rows, strict=True)),
        seen=dict(zip(labels, rows, strict=True)),
        columns=columns,
        new=lambda: Step(text=""),
    )


def merged(cells: dict[int, tuple[str, ...]]) -> GridEdit:
    """Put cells into STEPS; the rows 0 to 2 were seen as they are."""
    return judged(state_of(), cells).edit


LAY, PRESS, TURN = rows_of(STEPS, COLUMNS)


# -- merge ----------------------------------------------------------------------------------


def test_records_are_shown_as_texts():
    assert (LAY, TURN) == (("Lay", "4"), ("Turn", ""))


def test_a_changed_cell_changes_its_field():
    edit = merged({0: ("Lay flat", "4"), 1: PRESS, 2: TURN})
    assert edit.records == (replace(STEPS[0], text="Lay flat"), *STEPS[1:])


def test_untouched_records_stay_the_same_objects():
    edit = merged({0: ("Lay flat", "4"), 1: PRESS, 2: TURN})
    assert edit.records[1] is STEPS[1]


def test_an_untouched_cell_keeps_what_a_cell_cannot_show():
    # A column of whole seconds; an edit beside it must not round the time.
    whole = replace(COLUMNS[1], show=lambda step: f"{step.time_ms / 1000:.0f}")
    step = Step(text="Lay", time_ms=4333)
    edit = judged(state_of([step], (COLUMNS[0], whole)), {0: ("Lay flat", "4")}).edit
    assert edit.records[0].time_ms == 4333


def test_a_cleared_time_is_no_time():
    assert merged({0: ("Lay", ""), 1: PRESS, 2: TURN}).records[0].time_ms is None


def test_a_cell_that_cannot_be_read_is_told_with_its_row():
    (refused,) = judged(state_of(), {0: LAY, 1: ("Press", "soon"), 2: TURN}).refused.values()
    assert refused.words.startswith("Row 2, Time (s): “soon” was not read")


def test_a_cell_that_cannot_be_read_leaves_its_field():
    assert merged({0: LAY, 1: ("Press", "soon"), 2: TURN}).records == STEPS


def test_a_new_row_is_a_new_record():
    edit = merged({0: LAY, 1: PRESS, 2: TURN, 3: ("Check", "2")})
    assert edit.records[3] == Step(text="Check", time_ms=2000)


def test_a_new_row_comes_from_nowhere():
    edit = merged({0: LAY, 1: PRESS, 2: TURN, 3: ("Check", "2")})
    assert edit.came_from == (0, 1, 2, None)


def test_a_new_row_without_text_is_left_out():
    assert merged({0: LAY, 1: PRESS, 2: TURN, 3: ("", "")}).records == STEPS


def test_a_record_whose_cells_are_emptied_is_kept():
    # Only deleting the row takes a record away: other fields may hold something.
    assert len(merged({0: ("", ""), 1: PRESS, 2: TURN}).records) == 3


def test_a_row_that_is_gone_is_deleted():
    edit = merged({0: LAY, 2: TURN})
    assert (edit.records, edit.came_from) == ((STEPS[0], STEPS[2]), (0, 2))


def test_an_edit_and_a_deletion_at_once_are_both_taken():
    edit = merged({1: ("Press hard", "5"), 2: TURN})
    assert [s.text for s in edit.records] == ["Press hard", "Turn"]


def test_an_added_row_that_moves_up_stays_itself():
    # Rows 3 and 4 were added; when 3 is deleted, the browser calls row 4 row 3.
    records = (*STEPS, Step(text="Added"), Step(text="Second", reason="kept"))
    rows = dict(enumerate(rows_of(records, COLUMNS)))
    left = {label: rows[label] for label in (0, 1, 2)} | {3: rows[4]}
    edit = judged(state_of(records), left).edit
    assert edit.records[3] is records[4]


def test_blanks_around_a_cell_are_dropped():
    assert cells_of([("y",)], {"edited_rows": {0: {"a": "  x "}}}, ["a"]) == {0: ("x",)}


def test_a_missing_cell_is_empty():
    assert cells_of([("y",)], {"edited_rows": {0: {"a": None}}}, ["a"]) == {0: ("",)}


# -- cells ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "time_ms"),
    [
        ("7,5", TimeUnit.SECOND, 7500),
        ("7.5", TimeUnit.SECOND, 7500),
        ("0.5", TimeUnit.MINUTE, 30_000),
        ("45", TimeUnit.CENTIMINUTE, 27_000),
        ("1000", TimeUnit.TMU, 36_000),
        ("0", TimeUnit.SECOND, 0),
    ],
)
def test_a_time_is_read_in_its_unit(text, unit, time_ms):
    assert read(text, Kind.TIME, unit=unit) == time_ms


@pytest.mark.parametrize("text", ["abc", "-1", "nan", "inf", "7..5", "1:30", "5 s"])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(ValueError, match="was not read"):
        read(text, Kind.TIME)


def test_a_negative_share_is_refused():
    with pytest.raises(ValueError, match="was not read"):
        read("-0.1", Kind.SHARE)


@pytest.mark.parametrize("unit", list(TimeUnit))
def test_a_time_that_is_shown_is_read_back_the_same(unit):
    assert read(shown_time(27_125, unit), Kind.TIME, unit=unit) == 27_125


@pytest.mark.parametrize(("number", "text"), [(30.0, "30"), (7.5, "7.5"), (None, ""), (0.0, "0")])
def test_a_number_is_shown_without_needless_zeros(number, text):
    assert shown_number(number) == text


def test_an_empty_number_takes_its_usual_value():
    # One piece is the usual quantity of a part that a task fits.
    quantity = grid_of("part_uses", "quantity")
    assert quantity.put(PartUse(part="P", quantity=5), "").quantity == 1


def test_an_emptied_share_of_a_model_is_none():
    assert grid_of("models", "share").put(Model(name="A", share=0.5), "").share == 0


def test_a_part_is_chosen_from_the_parts_list():
    product = replace(LAMP, parts=(Part(number="K2"), Part(number="K1")))
    assert grid_of("part_uses", "part", product).options == ["", "K2", "K1"]


def test_a_time_column_names_its_unit():
    product = replace(LAMP, time_unit=TimeUnit.CENTIMINUTE)
    assert grid_of("steps", "time_s", product).label == "Time (1/100 min)"


def test_a_number_column_names_its_unit():
    assert grid_of("equipment", "mtbf_min").label == "Between failures (min)"


def test_an_empty_row_has_what_its_data_class_asks_for():
    assert TABLE["shifts"].blank() == Shift(name="", start="06:00", end="14:00")
    assert TABLE["stations"].blank() == StationSetting(number=1)
    assert TABLE["lines"].blank() == Line(name="")


# -- tasks ----------------------------------------------------------------------------------


def edit_of(product: Product, tasks: tuple[Task, ...], came_from) -> Product:
    edit = GridEdit(records=tasks, came_from=tuple(came_from))
    return edited_product(product, product.tasks_of("main"), edit)


def test_tasks_of_other_lines_stay_in_their_places():
    main = BOARD_LAMP.tasks_of("main")
    turned = replace(BOARD_LAMP, tasks=BOARD_LAMP.tasks[::-1])
    edited = edit_of(turned, tuple(replace(t, name="x") for t in main[::-1]), range(5))
    assert [t.number for t in edited.tasks] == [t.number for t in turned.tasks]


def test_a_swap_of_two_numbers_leaves_the_arrows_with_the_numbers():
    tasks = list(LAMP.tasks)
    tasks[1], tasks[2] = replace(tasks[1], number="30"), replace(tasks[2], number="20")
    edited = edit_of(LAMP, tuple(tasks), range(5))
    assert edited.tasks[3].predecessors == ("20", "30")


def test_a_fresh_number_is_free_on_every_line():
    product = replace(BOARD_LAMP, tasks=(*LAMP.tasks, Task(number="60", line="board")))
    edited = edit_of(product, (*LAMP.tasks, Task(number="", name="New")), [*range(5), None])
    assert edited.tasks[-1].number == "70"


def test_a_product_with_one_line_shows_no_line_column():
    assert "Line" not in [c.label for c in task_columns(LAMP)]


def test_a_product_with_two_lines_shows_the_line_of_a_task():
    assert "Line" in [c.label for c in task_columns(BOARD_LAMP)]


def test_a_hazard_is_chosen_by_its_title():
    hazard = grid_of("cautions", "hazard")
    assert hazard.put(Caution(hazard=Hazard.SHARP), "Lead").hazard == Hazard.LEAD


@pytest.mark.parametrize(
    ("text", "means"), [("yes", True), ("No", False), ("x", True), ("", False), ("TRUE", True)]
)
def test_a_yes_or_no_is_read_as_in_a_file(text, means):
    column = grid_of("stations", "static_safe")
    assert column.put(StationSetting(number=1), text).static_safe is means


def test_what_is_neither_yes_nor_no_is_refused():
    with pytest.raises(ValueError, match="“ye” was not read: it must be yes or no"):
        grid_of("stations", "guarded").put(StationSetting(number=1), "ye")


WHATEVER = ("", "yes", "ye", "7", "0.5", "maybe; perhaps", "06:30", "2026-09-14", "10, 20", "-")
OF_SCHEMA = [detail_table(t, LAMP) for t in TABLES if t.heading and t.name != "breaks"]


@pytest.mark.parametrize("table", [*OF_SCHEMA, break_table(LAMP)], ids=lambda table: table.title)
def test_whatever_is_typed_is_refused_or_of_the_kind_its_field_holds(table):
    kept = TypeAdapter(tuple[type(table.new())])
    for column in table.columns:
        for text in WHATEVER:
            try:
                record = column.put(table.new(), text)
            except ValueError:
                continue
            kept.dump_json((record,), warnings="error")  # raises: not of its kind
            assert column.put(record, column.show(record)) == record


def test_a_clock_time_that_is_none_is_refused():
    with pytest.raises(ValueError, match="06:30"):
        grid_of("shifts", "start").put(Shift(name="a", start="06:00", end="14:00"), "6 o'clock")


def test_breaks_that_are_shown_and_put_back_change_nothing():
    shifts = LAMP.calendar.shifts
    assert with_breaks(shifts, breaks_of(shifts)) == shifts


def test_a_break_goes_to_one_of_two_shifts_with_one_name():
    shift = Shift(name="a", start="06:00", end="14:00", breaks=(Break(name="lunch", minutes=30),))
    twice = (shift, replace(shift, start="14:00", end="22:00", breaks=()))
    assert with_breaks(twice, breaks_of(twice)) == twice


def test_a_shift_without_rows_loses_its_breaks():
    shift = Shift(name="a", start="06:00", end="14:00", breaks=(Break(name="lunch", minutes=30),))
    assert with_breaks((shift,), ()) == (replace(shift, breaks=()),)


# -- text -----------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", list("*_`[]()!#<>$:~|\\"))
def test_a_mark_of_markdown_is_shown_as_typed(mark):
    assert plain(f"a{mark}b") == f"a\\{mark}b"


def test_words_stay_as_they_are():
    assert plain("Föhn 230 V") == "Föhn 230 V"


def test_text_of_many_lines_is_one_line():
    assert plain("a\n\n# b") == "a \\# b"
