"""What is beyond a limit is left out or refused in a sentence; see `size_limits` for the limits."""

import io
import zipfile
from pathlib import Path

import pytest
from product_strategies import drawn_picture

from stationflow.errors import SourceError
from stationflow.files import instances
from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets import workbook_file
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.instances import read_instance
from stationflow.files.pictures import picture_cost
from stationflow.files.product import product_folder
from stationflow.files.product.product_folder import read_pictures, read_product_folder
from stationflow.files.product.table_reading import Found
from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Product, Task


def folder(path: Path, header: str = "", **tables: str) -> Path:
    """Write a product folder with tables by name."""
    (path / "product.toml").write_text(f'[product]\ncode = "P"\n{header}')
    for name, text in {"tasks": "number\n1\n2\n", **tables}.items():
        (path / f"{name}.csv").write_text(text)
    return path


def said(path: Path) -> list[tuple[str, str]]:
    """Return the place and the words of each finding."""
    return [(f.where, f.message) for f in read_product_folder(path).findings]


def test_no_more_tasks_are_read_than_can_be_balanced(tmp_path):
    file = read_product_folder(
        folder(tmp_path, tasks="number\n" + "\n".join(map(str, range(5_001))))
    )
    assert (len(file.product.tasks), [(f.where, f.message) for f in file.findings]) == (
        5_000,
        [
            (
                "tasks.csv",
                "It has more than 5000 rows; at most 5000 are read, and those after them were left "
                "out.",
            )
        ],
    )


def test_shifts_beyond_the_limit_are_left_out_and_counted(tmp_path):
    shift = '[[shifts]]\nname = "s{}"\nstart = "06:00"\nend = "06:01"\n'
    file = read_product_folder(folder(tmp_path, "".join(shift.format(n) for n in range(20_000))))
    assert len(file.product.calendar.shifts) == 50
    assert "It has 20000 rows; at most 50 are read" in file.findings[0].message


def test_a_station_beyond_the_limit_is_not_read(tmp_path):
    path = folder(tmp_path, limits="task,station\n1,1000000\n")
    assert said(path) == [
        ("limits.csv, row 2, column station", "'1000000' was not read: it must be at most 5000.")
    ]


def test_task_numbers_beyond_the_limit_of_a_cell_are_left_out(tmp_path):
    many = "; ".join(map(str, range(5_001)))
    file = read_product_folder(folder(tmp_path, tasks=f'number,predecessors\n1,\n2,"{many}"\n'))
    assert file.product.tasks[1].predecessors == ()
    assert "It lists some 5001 task numbers; at most 5000" in file.findings[0].message


def test_task_numbers_beyond_the_limit_of_all_cells_are_left_out(tmp_path):
    many = "; ".join(map(str, range(1, 5_001)))
    rows = "".join(f'{n},"{many}"\n' for n in range(1, 22))
    tasks = read_product_folder(
        folder(tmp_path, tasks="number,predecessors\n" + rows)
    ).product.tasks
    # 100,000 numbers are 20 cells of 5,000
    assert [len(task.predecessors) for task in tasks] == [5_000] * 20 + [0]


def test_pictures_share_a_budget_of_pixels(monkeypatch):
    picture = drawn_picture("PNG")
    monkeypatch.setattr(product_folder, "MOST_PIXELS_OF_ALL", picture_cost(picture) * 2)
    found = Found()
    kept = read_pictures([(f"{n}.png", picture) for n in range(3)], found)
    assert list(kept) == ["0.png", "1.png"]
    assert [f.code for f in found.findings] == ["picture-refused"]
    assert "all pictures of the product together" in found.findings[0].message


def test_a_workbook_with_too_many_shared_texts_is_refused(monkeypatch):
    monkeypatch.setattr(workbook_file, "MOST_SHARED_TEXTS", 10)
    content = write_workbook(Product(code="P", tasks=(Task(number="1"),)), {})[0]
    for read in (read_workbook, lambda content: read_foreign(content, "a.xlsx")):
        with pytest.raises(SourceError, match="it has more than 10 shared texts"):
            read(content)


def test_a_workbook_with_too_many_looks_is_refused():
    content = write_workbook(Product(code="P", tasks=(Task(number="1"),)), {})[0]
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", 8) as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/styles.xml":
                part = part.replace(b"</fonts>", b"<font/>" * 500_000 + b"</fonts>")
            new.writestr(name, part)
    with pytest.raises(SourceError, match=r"'xl/styles\.xml' holds more than 500000 elements"):
        read_workbook(out.getvalue())


def test_tasks_of_a_sheet_beyond_the_limit_are_left_out_and_told():
    text = "No;Task;Time (s)\n" + "".join(f"{n};Fit;5\n" for n in range(1, 5_003))
    sheet = read_foreign(text.encode(), "a.csv").sheets[0]
    read = read_rows(sheet, guess_mapping(sheet))
    told = [(entry.row, entry.message) for entry in read.report]
    assert len(read.rows) == 5_000
    assert told == [
        (5_002, "The sheet has 5002 tasks; at most 5000 are read, the rest was left out.")
    ]


def test_an_instance_of_more_tasks_than_can_be_balanced_is_refused(tmp_path):
    (tmp_path / "a.in2").write_text("5001\n" + "5\n" * 5_001 + "-1,-1\n")
    with pytest.raises(SourceError, match="it must be from 1 to 5000"):
        read_instance(tmp_path / "a.in2")


def test_arrows_of_an_instance_beyond_the_limit_are_left_out_and_told(tmp_path, monkeypatch):
    monkeypatch.setattr(instances, "MOST_ARROWS", 2)
    (tmp_path / "a.in2").write_text("4\n" + "5\n" * 4 + "1,2\n2,3\n3,4\n1,4\n-1,-1\n")
    read = read_instance(tmp_path / "a.in2")
    assert read.work.predecessors == ((), (0,), (1,), ())
    assert [f.where for f in read.findings] == ["a.in2, line 8"]


def test_a_header_with_a_key_of_very_many_parts_is_not_read(tmp_path):
    assert said(folder(tmp_path, "a." * 300 + "a = 1"))[0] == (
        "product.toml",
        "A name in it has more than 200 parts; it was not read.",
    )


def test_very_many_points_in_a_text_of_the_header_are_read(tmp_path):
    path = folder(tmp_path, f'remarks = "{"." * 300}"')
    assert read_product_folder(path).product.remarks == "." * 300


def test_an_instance_of_very_many_lines_is_refused(tmp_path):
    (tmp_path / "a.alb").write_text("<number of tasks>\n5\n" + "x\n" * 210_000)
    with pytest.raises(SourceError, match="it has more than 210000 lines"):
        read_instance(tmp_path / "a.alb")
