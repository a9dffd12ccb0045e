"""Product workbooks, good and hostile. Expected values are worked out by hand."""

import io
import zipfile
from datetime import date

import pytest
from openpyxl import Workbook, load_workbook
from product_strategies import drawn_picture

from stationflow.errors import SourceError
from stationflow.files.pictures import picture_checksum
from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Picture, Product, Step, Task

PUMP = Product(code="P-1", tasks=(Task(number="010", name="Press", time_ms=7500),))


def book(tasks: list[list[object]], code: str | None = "P-1") -> bytes:
    """Return a workbook made by hand with a table of tasks."""
    made = Workbook()
    sheet = made.active
    sheet.title = "Tasks"
    for row in tasks:
        sheet.append(row)
    made.create_sheet("Product").append(["Code"])
    if code:
        made["Product"].append([code])
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def found(data: bytes) -> list[tuple[str, str]]:
    """Return code and place of each finding."""
    return [(f.code, f.where) for f in read_workbook(data).findings]


def test_a_workbook_made_by_hand_is_read():
    data = book([["Number", "Time (min)", "Predecessors"], ["010", 0.125, None], [20, 1, "010"]])
    assert read_workbook(data).product.tasks == (
        Task(number="010", time_ms=7500),
        Task(number="20", time_ms=60_000, predecessors=("010",)),
    )


def test_a_number_in_a_text_column_keeps_no_decimal_point():
    data = book([["Number"], [10.0]])
    assert read_workbook(data).product.tasks[0].number == "10"


def test_a_date_made_by_a_spreadsheet_is_named():
    data = book([["Number", "Predecessors"], ["1", date(2026, 2, 1)]])
    assert found(data) == [("value-not-read", "sheet Tasks, row 2, column Predecessors")]


def test_a_formula_error_is_named():
    data = book([["Number", "Time (s)"], ["1", "#DIV/0!"]])
    assert found(data) == [("value-not-read", "sheet Tasks, row 2, column Time (s)")]


def test_a_sheet_that_is_not_known_is_named():
    made = load_workbook(io.BytesIO(book([["Number"], ["1"]])))
    made.create_sheet("Notes")
    out = io.BytesIO()
    made.save(out)
    assert found(out.getvalue()) == [("unknown-table", "sheet Notes")]


def test_the_first_sheet_tells_how_to_fill_in_the_workbook():
    made = load_workbook(io.BytesIO(write_workbook(PUMP, {})[0]))
    assert made.worksheets[0]["A1"].value == "How to fill in this workbook"


def test_headings_carry_the_unit():
    made = load_workbook(io.BytesIO(write_workbook(PUMP, {})[0]))
    assert made["Tasks"]["D1"].value == "Time (s)"


def test_headings_stay_in_view():
    made = load_workbook(io.BytesIO(write_workbook(PUMP, {})[0]))
    assert made["Tasks"].freeze_panes == "A2"


def test_choices_have_a_drop_down():
    made = load_workbook(io.BytesIO(write_workbook(PUMP, {})[0]))
    rules = [rule.formula1 for rule in made["Limits"].data_validations.dataValidation]
    assert '"left,right,either"' in rules


def test_plans_are_on_a_hidden_sheet():
    made = load_workbook(io.BytesIO(write_workbook(PUMP, {})[0]))
    assert made["Plans"].sheet_state == "hidden"


def test_text_that_begins_like_a_formula_stays_text():
    product = Product(code="P", tasks=(Task(number="1", name="=1+1"),))
    made = load_workbook(io.BytesIO(write_workbook(product, {})[0]))
    assert made["Tasks"]["B2"].data_type == "s"


def test_a_picture_keeps_its_bytes():
    data = drawn_picture("JPEG")
    product = Product(code="P", pictures=(Picture(name="a.jpg", checksum=picture_checksum(data)),))
    made = write_workbook(product, {"a.jpg": data})[0]
    assert read_workbook(made).pictures == (("a.jpg", data),)


@pytest.mark.parametrize("text", ["x" * 32_768, "bell\a", "zero\0", "\ud800", "x005F_"])
def test_text_a_workbook_cannot_hold_is_a_finding_before_writing(text: str):
    product = Product(code="P", tasks=(Task(number="1", steps=(Step(text=text),)),))
    _, findings = write_workbook(product, {})
    assert [(f.code, f.where) for f in findings] == [
        ("text-not-stored", "sheet Steps, row 2, column Text")
    ]


def zipped(parts: dict[str, bytes]) -> bytes:
    """Return a packed file of these parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    return out.getvalue()


def test_a_workbook_that_would_fill_the_memory_is_refused():
    with pytest.raises(SourceError, match="would unpack to 1 parts with 400 MB"):
        read_workbook(zipped({"xl/worksheets/sheet1.xml": bytes(400_000_001)}))


@pytest.mark.parametrize(
    "data", [b"", b"PK", b"number,time_s\n", zipped({}), zipped({"xl/workbook.xml": b"<"})]
)
def test_what_is_no_workbook_is_refused(data: bytes):
    with pytest.raises(SourceError, match="workbook"):
        read_workbook(data)


def test_an_entity_bomb_is_refused():
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    text = f'<!DOCTYPE x [<!ENTITY a0 "x">{entities}]><workbook>&a9;</workbook>'
    good = zipfile.ZipFile(io.BytesIO(write_workbook(PUMP, {})[0]))
    parts = {name: good.read(name) for name in good.namelist()}
    with pytest.raises(SourceError):
        read_workbook(zipped({**parts, "xl/workbook.xml": text.encode()}))


def test_a_workbook_without_code_is_named():
    assert found(book([["Number"], ["1"]], code=None)) == [("value-not-read", "sheet Product")]


def test_a_sheet_that_lies_about_its_size_is_read():
    good = zipfile.ZipFile(io.BytesIO(book([["Number"], ["1"], ["2"]])))
    parts = {name: good.read(name) for name in good.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = parts[sheet].replace(b'ref="A1:A3"', b'ref="A1:XFD1048576"')
    assert len(read_workbook(zipped(parts)).product.tasks) == 2
