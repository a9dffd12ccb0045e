"""What an engineer does with a stranger's spreadsheet on the Import page, one sentence a test."""

import io
import zipfile
from dataclasses import replace

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.products.products_out import export_workbook
from stationflow.actions.showing.checking import check_product
from stationflow.files.foreign.column_mapping import Target
from stationflow.files.foreign.import_report import Outcome
from stationflow.model import MAIN_LINE
from stationflow.ui import session
from stationflow.ui.imports import import_job

SHEET = b"No;Task;Time (s);After;Station\n10;Place base;31;;1\n60;Pack lamp;12;50;2\n"
ALONE = SHEET.replace(b";50;", b";10;")
"""Without an arrow to a task of the open product."""
NO_UNIT = SHEET.replace(b"Time (s)", b"Time")


@pytest.fixture
def page(show):
    return show(LAMP, "importing")


@pytest.fixture
def new_page(show):
    """Return the page with no product open."""
    return show(None, "importing")


def upload(page, content: bytes = SHEET, name: str = "tasks.csv") -> None:
    page.test.file_uploader(key="import.file").upload(name, content, "text/csv")
    page.run()


def job(page) -> import_job.ImportJob:
    return page.test.session_state[import_job.JOB]


def choose(page, key: str, value) -> None:
    page.test.selectbox(key=key).set_value(value)
    page.run()


def answer(page, offer: str, value: str) -> None:
    page.test.radio(key=f"import.offer.{offer}").set_value(value)
    page.run()


def rows(page):
    """Return the table of rows as it is shown."""
    return page.test.data_editor[0].value


def tick_off(page, place: int) -> None:
    """Take the tick off one row, as the browser tells it."""
    at = job(page)
    key = f"import.rows.{at.turn}.{at.looked_at[:12]}"
    page.test.session_state[key] = {
        "edited_rows": {str(place): {"Bring in": False}},
        "added_rows": [],
        "deleted_rows": [],
    }
    page.run()


def name_product(page, code: str) -> None:
    page.test.text_input(key="import.code").input(code)
    page.run()


def test_the_empty_page_says_what_a_good_sheet_looks_like(page):
    assert "one row for each task" in page.said


def test_the_empty_page_has_a_sample_to_download(page):
    assert "Download this sample" in page.said


def test_an_uploaded_sheet_comes_into_the_open_product(store, page):
    upload(page)
    page.press("import.bring_in")
    assert [t.name for t in store.draft("L-100").product.tasks][-1] == "Pack lamp"


def test_nothing_is_stored_before_the_button_is_pressed(store, page):
    upload(page)
    assert store.draft("L-100").product == LAMP


def test_the_button_says_how_many_tasks_come_in(page):
    upload(page)
    assert "Bring in 2 tasks" in page.said


def test_after_an_import_the_page_says_that_one_undo_takes_it_back(page):
    upload(page)
    page.press("import.bring_in")
    assert "one Undo on the Tasks page takes all of it back" in page.said


def test_one_undo_on_the_tasks_page_takes_the_import_back(store, page):
    upload(page)
    page.press("import.bring_in")
    store.undo("L-100", **ANA)
    assert store.draft("L-100").product == LAMP


def test_a_second_press_is_not_offered_when_all_is_there(page):
    upload(page)
    page.press("import.bring_in")
    assert page.test.button(key="import.bring_in").disabled


def test_rows_are_marked_in_words(page):
    upload(page)
    assert list(rows(page)["State"]) == ["changed", "new"]


def test_a_changed_row_says_what_changes(page):
    upload(page)
    assert "30 s → 31 s" in rows(page)["What changes"][0]


def test_a_row_that_is_ticked_off_stays_out(store, page):
    upload(page)
    tick_off(page, 0)
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[0] == LAMP.tasks[0]


def test_a_row_that_is_ticked_off_is_counted(page):
    upload(page)
    tick_off(page, 0)
    assert "Bring in 1 task" in page.said
    assert "1 ticked off" in page.said


def test_a_pasted_block_is_read(store, page):
    page.test.text_area(key="import.pasted").input(SHEET.decode().replace(";", "\t"))
    page.run()
    page.press("import.read_block")
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[-1].number == "60"


def test_an_empty_block_is_refused_in_a_sentence(page):
    page.press("import.read_block")
    assert page.errors != ""


def test_a_pasted_block_outlives_a_change_of_page(page):
    page.test.text_area(key="import.pasted").input("10\tFit")
    page.run()
    page.go("tasks")
    page.go("importing")
    assert page.test.text_area(key="import.pasted").value == "10\tFit"


def test_the_file_outlives_a_change_of_page(page):
    upload(page)
    page.go("pace")
    page.go("importing")
    assert "Bring in 2 tasks" in page.said


def test_choices_outlive_a_change_of_page(page):
    upload(page, NO_UNIT)
    answer(page, "time-unit:C", "min")
    page.go("pace")
    page.go("importing")
    assert page.test.radio(key="import.offer.time-unit:C").value == "min"


def test_ticks_outlive_a_change_of_page(page):
    upload(page)
    tick_off(page, 1)
    page.go("pace")
    page.go("importing")
    assert list(rows(page)["Bring in"]) == [True, False]


def test_a_unit_that_is_not_said_is_asked_for(page):
    upload(page, NO_UNIT)
    assert "1 must be answered" in page.said


def test_no_answer_is_chosen_in_the_engineers_place(page):
    upload(page, NO_UNIT)
    assert page.test.radio(key="import.offer.time-unit:C").value is None


def test_with_an_open_question_nothing_can_be_brought_in(page):
    upload(page, NO_UNIT)
    assert page.test.button(key="import.bring_in").disabled


def test_an_answered_unit_is_used(store, page):
    upload(page, NO_UNIT)
    answer(page, "time-unit:C", "min")
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[-1].time_ms == 720_000


def test_a_column_can_be_given_another_meaning(store, page):
    upload(page)
    choose(page, "import.target.1", Target.LEFT_OUT)
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[0].name == LAMP.tasks[0].name


def test_a_meaning_given_to_another_column_is_taken_from_the_first(page):
    upload(page)
    choose(page, "import.target.4", Target.NAME)
    assert page.test.selectbox(key="import.target.1").value == Target.LEFT_OUT


def test_the_row_of_headings_can_be_changed(page):
    upload(page, b"Line 3;;;;\n" + SHEET)
    page.test.number_input(key="import.header_row").set_value(3)
    page.run()
    assert job(page).mapping.header_row == 3


def test_the_encoding_can_be_changed(page):
    upload(page, "No;Task;Time (s)\n10;Gehäuse prüfen;5\n".encode("cp1252"))
    choose(page, "import.encoding", "cp1251")
    assert "Gehдuse" in job(page).file.sample


def test_the_encoding_is_shown_with_lines_to_judge_it_by(page):
    upload(page, "No;Task;Time (s)\n10;Gehäuse prüfen;5\n".encode("cp1252"))
    assert "10;Gehäuse prüfen;5" in next(code.value for code in page.test.code)


def test_the_delimiter_can_be_changed(page):
    upload(page)
    choose(page, "import.delimiter", "\t")
    assert job(page).sheet.width == 1


def test_a_remembered_mapping_is_told(page):
    upload(page)
    page.press("import.bring_in")
    page.press("import.other")
    upload(page, SHEET.replace(b"60;", b"70;"), "next.csv")
    assert "mapping remembered from tasks.csv" in page.said.replace("\\", "")


def test_a_remembered_mapping_can_be_guessed_again(page):
    upload(page)
    page.press("import.bring_in")
    page.press("import.other")
    upload(page, SHEET, "next.csv")
    page.press("import.forget")
    assert job(page).remembered is None


def test_without_a_product_a_new_one_is_made(store, new_page):
    upload(new_page, ALONE)
    name_product(new_page, "N-1")
    new_page.press("import.bring_in")
    assert [t.number for t in store.draft("N-1").product.tasks] == ["10", "60"]


def test_the_new_product_is_open(new_page):
    upload(new_page, ALONE)
    name_product(new_page, "N-1")
    new_page.press("import.bring_in")
    assert new_page.test.session_state[session.PRODUCT] == "N-1"


def test_a_new_product_without_a_code_is_refused_in_a_sentence(new_page):
    upload(new_page, ALONE)
    new_page.press("import.bring_in")
    assert "Enter 1 to 60 printable characters" in new_page.errors


def test_a_code_that_is_taken_is_refused_and_every_choice_is_kept(store, new_page):
    put_in(store, LAMP)
    upload(new_page, ALONE)
    tick_off(new_page, 1)
    name_product(new_page, "L-100")
    new_page.press("import.bring_in")
    assert "Choose another product code." in new_page.errors
    assert job(new_page).left_out == {3}


def test_with_a_product_open_the_tasks_may_go_into_a_new_one(store, page):
    upload(page, ALONE)
    page.test.segmented_control(key="import.into").set_value(True)
    page.run()
    name_product(page, "N-1")
    page.press("import.bring_in")
    assert len(store.draft("N-1").product.tasks) == 2


def test_only_new_tasks_come_in_when_that_is_chosen(store, page):
    upload(page)
    choose(page, "import.mode", import_job.MergeMode.ADD)
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[0] == LAMP.tasks[0]


def test_tasks_that_would_be_taken_out_are_named(page):
    upload(page)
    choose(page, "import.mode", import_job.MergeMode.REPLACE)
    assert "20, 30, 40, 50" in page.said


def test_a_product_saved_elsewhere_meanwhile_is_told_and_nothing_comes_in(store, page):
    upload(page)
    draft = store.draft("L-100")
    other = replace(LAMP, name="Other")
    store.save(other, base=draft.checksum, **ANA)
    page.press("import.bring_in")
    assert store.draft("L-100").product == other
    assert "Nothing was brought in, and every choice is kept" in page.said


def test_after_a_look_at_the_version_saved_elsewhere_the_tasks_come_in(store, page):
    upload(page)
    store.save(replace(LAMP, name="Other"), base=store.draft("L-100").checksum, **ANA)
    page.press("import.bring_in")
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[-1].number == "60"


def test_stations_of_today_are_kept_as_a_plan_when_ticked(store, new_page):
    upload(new_page, ALONE)
    new_page.test.checkbox(key="import.today").check()
    name_product(new_page, "N-1")
    new_page.press("import.bring_in")
    assert [p.name for p in store.plans("N-1", MAIN_LINE)] == ["as it stands today"]


@pytest.mark.parametrize("other", ["balance", "compare", "cards", "products"])
def test_every_page_opens_with_the_plan_of_today(new_page, other):
    upload(new_page, ALONE)
    new_page.test.checkbox(key="import.today").check()
    name_product(new_page, "N-1")
    new_page.press("import.bring_in")
    new_page.go(other)
    assert new_page.errors == ""


def test_the_report_names_each_cell(page):
    upload(page, SHEET.replace(b";12;", b";soon;"))
    assert "C3" in page.said


def test_the_report_can_be_filtered(page):
    upload(page, SHEET.replace(b";12;", b";soon;").replace(b";31;", b";31,5;"))
    page.test.pills(key="import.severities").set_value([Outcome.ERROR])
    page.run()
    shown = next(f.value for f in page.test.dataframe if "Cell" in f.value)
    assert list(shown["What"]) == ["error"]


def test_a_parts_list_comes_in(store, page):
    upload(page, b"Part number;Part name;Quantity;Container\nP-9;Screw;4;K5\n")
    page.press("import.bring_in")
    assert [part.number for part in store.draft("L-100").product.parts] == ["P-1", "P-9"]


def test_a_product_workbook_comes_in_whole(store, page):
    content = export_workbook(store, "L-100")
    upload(page, content, "L-100.xlsx")
    page.test.text_input(key="import.own_code").input("L-101")
    page.run()
    page.press("import.own")
    assert store.draft("L-101").product.tasks == LAMP.tasks


def _zip(**files: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, content in files.items():
            made.writestr(name, content)
    return out.getvalue()


WRONG = {
    "an empty file": b"",
    "a zip that is no workbook": _zip(readme=b"hello"),
    "a PDF": b"%PDF-1.7\n1 0 obj\n",
    "a picture": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
    "a broken workbook": _zip(**{"xl/workbook.xml": b"<workbook>"})[:60],
    "an old workbook": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
}


@pytest.mark.parametrize("name", WRONG)
def test_refused_in_a_sentence_is(page, name):
    upload(page, WRONG[name], "odd.xlsx")
    assert page.errors.strip() != ""


def test_after_a_refused_file_another_one_is_read(page):
    upload(page, b"", "empty.csv")
    upload(page)
    assert "Bring in 2 tasks" in page.said


def test_a_file_without_tasks_cannot_be_brought_in(page):
    upload(page, b"No;Task;Time (s)\n;Total;43\n")
    assert page.errors == ""
    assert page.test.button(key="import.bring_in").disabled


def test_markdown_in_a_sheet_is_shown_as_it_stands(page):
    upload(page, b"No;![x](http://a/b.png);Time (s)\n10;**Fit**;5\n", "![x](y).csv")
    assert page.errors == ""
    assert "![x](http://a/b.png)" in page.said


MISTYPED = SHEET.replace(b";50;", b";1O;")


def test_a_mistyped_arrow_is_asked_about_before_anything_comes_in(page):
    upload(page, MISTYPED)
    assert page.test.button(key="import.bring_in").disabled


def test_a_mistyped_arrow_is_cured_by_the_likely_task(store, page):
    upload(page, MISTYPED)
    answer(page, "typo:D:1O", "10")
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[-1].predecessors == ("10",)


def test_a_mistyped_arrow_is_cured_by_a_typed_number(store, page):
    upload(page, MISTYPED)
    page.test.text_input(key="import.typed.typo:D:1O").input("30")
    page.run()
    page.press("import.bring_in")
    assert store.draft("L-100").product.tasks[-1].predecessors == ("30",)


def test_a_typed_number_that_is_no_task_either_is_told(page):
    upload(page, MISTYPED)
    page.test.text_input(key="import.typed.typo:D:1O").input("31")
    page.run()
    assert "There is no task 31 either" in page.said


def test_an_arrow_kept_as_it_stands_stays_a_finding_of_the_product(store, page):
    upload(page, MISTYPED)
    answer(page, "typo:D:1O", "as-it-stands")
    page.press("import.bring_in")
    found = check_product(store.draft("L-100").product)
    assert [f.code for f in found if "'1O'" in f.message] == ["unknown-predecessor"]
