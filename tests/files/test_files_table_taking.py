"""One table of a product comes in from a file of its own."""

import io
from dataclasses import replace
from datetime import UTC, datetime

from openpyxl import Workbook
from small_products import BOARD_LAMP, LAMP

from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.table_taking import take_table
from stationflow.model import Fault, FaultCount, Machine, MachineKind, Product

COUNTED = replace(
    LAMP,
    faults=(Fault(code="F1"),),
    tally=(FaultCount(date="2026-03-02", fault="F1", count=4),),
)


def taken(product: Product, name: str, text: str):
    return take_table(product, name, read_foreign(text.encode(), f"{name}.csv"))


def test_a_day_that_is_counted_already_takes_the_new_count():
    answer = taken(COUNTED, "tally", "date,fault,count\n2026-03-02,F1,6\n")
    assert answer.product.tally == (FaultCount(date="2026-03-02", fault="F1", count=6),)
    assert (answer.added, answer.changed) == (0, 1)


def test_taking_a_file_twice_counts_nothing_twice():
    text = "date,fault,count\n2026-03-03,F1,2\n"
    once = taken(COUNTED, "tally", text).product
    assert taken(once, "tally", text).product == once


def test_a_column_the_file_lacks_stays_as_it_is():
    oven = Machine(name="Oven", kind=MachineKind.IN_LINE, length_m=3.5)
    product = replace(LAMP, machines=(oven,))
    answer = taken(product, "machines", "Machine name\n")
    assert answer.findings
    answer = taken(product, "machines", "name,kind,count\nOven,in-line,2\n")
    assert answer.product.machines == (replace(oven, count=2),)


def test_a_machine_without_a_line_stands_on_the_main_line():
    named = replace(LAMP, lines=(replace(LAMP.lines[0], name="assembly"),))
    answer = taken(named, "machines", "name,kind\nPress,press\n")
    assert answer.product.machines[0].line == "assembly"


def test_a_row_that_cannot_be_read_is_told_with_its_place_and_the_others_come_in():
    text = "date;fault;count\n31.02.2026;F1;2\n2026-03-04;F1;many\n2026-03-05;F1;1\n"
    answer = taken(COUNTED, "tally", text)
    assert [c.date for c in answer.product.tally] == ["2026-03-02", "2026-03-04", "2026-03-05"]
    assert [(f.code, f.where) for f in answer.findings] == [
        ("value-not-read", "tally.csv, row 2, column date"),
        ("row-left-out", "tally.csv, row 2"),
        ("value-not-read", "tally.csv, row 3, column count"),
    ]


def test_a_cell_that_cannot_be_read_waits_in_the_product_to_be_cured():
    answer = taken(COUNTED, "tally", "date,fault,count\n2026-03-04,F1,many\n")
    (unread,) = answer.product.unread
    assert (unread.cell.key, unread.cell.field, unread.cell.text) == (
        ("2026-03-04", "F1"),
        "count",
        "many",
    )


def test_of_a_workbook_the_sheet_of_the_table_is_read_with_its_dates():
    book, out = Workbook(), io.BytesIO()
    book.active.append(["Notes"])
    sheet = book.create_sheet("Tally")
    sheet.append(["Date", "Fault", "Count"])
    sheet.append([datetime(2026, 3, 6, tzinfo=UTC).replace(tzinfo=None), "F1", 3])
    book.save(out)
    answer = take_table(COUNTED, "tally", read_foreign(out.getvalue(), "week.xlsx"))
    assert answer.product.tally[-1] == FaultCount(date="2026-03-06", fault="F1", count=3)


def test_rows_of_one_key_in_a_file_make_one_record():
    answer = taken(BOARD_LAMP, "faults", "code,text\nF1,Dark\nF1,Flickers\n")
    assert answer.product.faults == (Fault(code="F1", text="Flickers"),)
