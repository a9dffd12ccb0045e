"""A clean table, written and read by the foreign reader, gives the same tasks again."""

import io
import subprocess
from pathlib import Path

import pytest
import xlsxwriter
from dirty_sheets import clean_tasks, dirty_workbook
from hypothesis import given, settings
from hypothesis import strategies as st

from stationflow.files.csv_text import write_csv
from stationflow.files.foreign.column_mapping import TableKind
from stationflow.files.foreign.columns.headings import guess_mapping, likeliest_sheet
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Product, Task

HEAD = ["Number", "Task name", "Time [s]", "Predecessors"]
ANSWERS = {"comma:C": ".", "summaries": "tasks"}
"""Of 1.500 alone nobody knows what the point parts, and 1, 2, 3, 6 may end in their sum."""
NAME = st.text("abcdefghij ÄÖéłДж工序,;\"'=+-@", min_size=1, max_size=20).map(
    lambda text: f"Fit {' '.join(text.split())}".strip()
)


@st.composite
def tasks(draw: st.DrawFn) -> tuple[Task, ...]:
    """Tasks with times in whole milliseconds and predecessors that are listed before."""
    count = draw(st.integers(2, 12))
    numbers = [f"{draw(st.sampled_from(['', 'A-', 'op ']))}{10 * n}" for n in range(1, count + 1)]
    made = []
    for place, number in enumerate(numbers):
        before = (
            draw(st.lists(st.sampled_from(numbers[:place]), max_size=3, unique=True))
            if place
            else []
        )
        ms = draw(st.none() | st.integers(1, 3_600_000))
        made.append(Task(number=number, name=draw(NAME), time_ms=ms, predecessors=tuple(before)))
    return tuple(made)


def grid(listed: tuple[Task, ...]) -> list[list[str | float | None]]:
    rows = [
        [t.number, t.name, t.time_ms and t.time_ms / 1000, "; ".join(t.predecessors) or None]
        for t in listed
    ]
    return [HEAD, *rows]


def as_workbook(rows: list[list[str | float | None]]) -> bytes:
    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(out, options) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    return out.getvalue()


def read(content: bytes) -> tuple[Task, ...]:
    sheet = likeliest_sheet(read_foreign(content, "x"))
    mapping = guess_mapping(sheet, kind=TableKind.TASKS, header_row=1)
    return read_rows(sheet, mapping, ANSWERS).records


@settings(max_examples=150)
@given(listed=tasks())
def test_a_clean_csv_table_reads_back_to_the_same_tasks(listed: tuple[Task, ...]):
    assert read(write_csv(grid(listed))) == listed


@settings(max_examples=100)
@given(listed=tasks())
def test_a_clean_workbook_reads_back_to_the_same_tasks(listed: tuple[Task, ...]):
    assert read(as_workbook(grid(listed))) == listed


def test_the_task_sheet_of_a_product_workbook_reads_back_to_the_same_tasks():
    listed = tuple(clean_tasks())
    content = write_workbook(Product(code="P", tasks=listed), {}, [])[0]
    sheet = read_foreign(content, "p.xlsx").sheet("Tasks")
    assert sheet is not None
    assert read_rows(sheet, guess_mapping(sheet)).records == listed


@pytest.mark.office
def test_the_dirty_workbook_saved_by_an_office_program_gives_the_same_tasks(tmp_path: Path):
    """LibreOffice Calc writes the file anew: other styles, texts, references."""
    dirty = dirty_workbook()
    given = tmp_path / "given.xlsx"
    given.write_bytes(dirty.content)
    out = tmp_path / "out"
    subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
         "--convert-to", "xlsx", "--outdir", str(out), str(given)],
        check=True, capture_output=True, timeout=240,
    )  # fmt: skip
    sheet = likeliest_sheet(read_foreign((out / "given.xlsx").read_bytes(), "given.xlsx"))
    assert read_rows(sheet, guess_mapping(sheet), dirty.answers).records == dirty.truth
