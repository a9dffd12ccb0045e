"""A stranger's sheet on the command line: one document, questions answered by id."""

from pathlib import Path

import pytest

from stationflow.files.product.product_folder import read_product_folder

CLEAN = "No;Operation;Time s;Predecessors\n10;Fit base;45;\n20;Fit lid;7.5;10\n"
OLD_NEW = (
    "No;Operation;Time old (s);Time new (s);Predecessors\n10;Fit base;99;45;\n20;Fit lid;98;30;10\n"
)


@pytest.fixture
def sheet(tmp_path: Path):
    """Return a function that writes a sheet and returns its path."""

    def write(text: str) -> Path:
        path = tmp_path / "sheet.csv"
        path.write_text(text, "utf-8")
        return path

    return write


def test_a_clean_sheet_becomes_its_tasks(run, sheet):
    done = run("import", sheet(CLEAN), "--json")
    tasks = [
        {"number": "10", "name": "Fit base", "time_s": 45.0, "predecessors": []},
        {"number": "20", "name": "Fit lid", "time_s": 7.5, "predecessors": ["10"]},
    ]
    document = {"tasks": tasks, "parts": [], "questions": [], "report": []}
    assert (done.code, done.document) == (0, document)


def test_a_parts_list_becomes_its_parts(run, sheet):
    done = run("import", sheet("Part no;Description;Qty\nS1;Screw;4\n"), "--json")
    assert done.document["parts"] == [{"number": "S1", "name": "Screw", "quantity": 4.0}]


def test_an_open_question_leaves_its_values_null_and_ends_with_1(run, sheet):
    done = run("import", sheet(OLD_NEW), "--json")
    assert (done.code, [t["time_s"] for t in done.document["tasks"]]) == (1, [None, None])


def test_an_open_question_names_its_cells_and_choices(run, sheet):
    asked = run("import", sheet(OLD_NEW), "--json").document["questions"][0]
    assert (asked["id"], asked["cells"], asked["choices"], asked["chosen"]) == (
        "which-column:time",
        ["C2", "D2", "C3", "D3"],
        ["C", "D", "sum", "leave-out"],
        None,
    )


def test_each_cell_left_open_is_at_least_a_warning(run, sheet):
    report = run("import", sheet(OLD_NEW), "--json").document["report"]
    assert {line["cell"]: line["severity"] for line in report} == dict.fromkeys(
        ["C2", "D2", "C3", "D3"], "warning"
    )


def test_an_answer_is_taken(run, sheet):
    done = run("import", sheet(OLD_NEW), "--answer", "which-column:time=D", "--json")
    times = [t["time_s"] for t in done.document["tasks"]]
    assert (done.code, times, done.document["questions"][0]["chosen"]) == (0, [45.0, 30.0], "D")


@pytest.mark.parametrize("answer", ["which-column:time=Z", "D", "=D", "x="])
def test_what_is_no_answer_is_wrong_usage(run, sheet, answer: str):
    assert run("import", sheet(OLD_NEW), "--answer", answer).code == 2


def test_an_answer_to_no_question_is_named(run, sheet):
    done = run("import", sheet(CLEAN), "--answer", "comma:C=.", "--json")
    assert "is to no question of this sheet" in done.document["report"][0]["message"]


def test_a_cell_that_cannot_be_read_ends_with_1(run, sheet):
    done = run("import", sheet(CLEAN.replace("7.5", "soon")), "--json")
    line = done.document["report"][0]
    assert (done.code, line["severity"], line["cell"]) == (1, "error", "C3")


def test_a_settled_sheet_is_written_as_a_product_folder(run, sheet, tmp_path: Path):
    run("import", sheet(CLEAN), "--out", tmp_path / "new")
    product = read_product_folder(tmp_path / "new").product
    assert [t.time_ms for t in product.tasks] == [45_000, 7_500]


def test_nothing_is_written_while_a_question_is_open(run, sheet, tmp_path: Path):
    run("import", sheet(OLD_NEW), "--out", tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_folder_that_is_not_empty_is_refused(run, sheet, tmp_path: Path):
    assert run("import", sheet(CLEAN), "--out", tmp_path).code == 2


def test_a_file_that_is_no_sheet_is_one_document_too(run, tmp_path: Path):
    (tmp_path / "a.xlsx").write_bytes(b"%PDF-1.7")
    done = run("import", tmp_path / "a.xlsx", "--json")
    assert (done.code, done.document["report"][0]["severity"]) == (1, "error")


def test_people_are_told_what_is_open(run, sheet):
    assert "Question which-column:time [OPEN]" in run("import", sheet(OLD_NEW)).out


def test_a_product_workbook_comes_in_whole(run, lamp: Path, tmp_path: Path):
    run("import", write_lamp(lamp, tmp_path), "--out", tmp_path / "new")
    assert (
        read_product_folder(tmp_path / "new").product.tasks
        == read_product_folder(lamp).product.tasks
    )


def write_lamp(lamp: Path, to: Path) -> Path:
    """Write the lamp as a product workbook."""
    from stationflow.files.product.workbook_writing import write_workbook

    file = read_product_folder(lamp)
    content, _ = write_workbook(file.product, dict(file.pictures), file.plans)
    path = to / "lamp.xlsx"
    path.write_bytes(content)
    return path
