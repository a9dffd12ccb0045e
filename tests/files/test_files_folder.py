"""Product folders as engineers and others make them. Expected values are worked out by hand."""

import os
import tomllib
from pathlib import Path

import pytest
from product_strategies import drawn_picture

from stationflow.errors import SourceError
from stationflow.files.csv_text import guarded, unguarded
from stationflow.files.product.product_folder import (
    ProductFile,
    read_product_folder,
    write_product_folder,
)
from stationflow.model import Product, Severity, Step, Task
from stationflow.model.unread import Use

HEADER = '[product]\ncode = "P-1"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a small product folder: one task "010" of 7.5 s."""
    (tmp_path / "product.toml").write_text(HEADER, encoding="utf-8")
    (tmp_path / "tasks.csv").write_text("number,time_s\n010,7.5\n", encoding="utf-8")
    return tmp_path


def with_tasks(folder: Path, text: str | bytes) -> ProductFile:
    """Read the folder with another table of tasks."""
    data = text if isinstance(text, bytes) else text.encode("utf-8")
    (folder / "tasks.csv").write_bytes(data)
    return read_product_folder(folder)


def found(file: ProductFile) -> list[tuple[str, str]]:
    """Return code and place of each finding."""
    return [(f.code, f.where) for f in file.findings]


def test_a_small_folder_opens_without_a_finding(folder: Path):
    assert read_product_folder(folder) == ProductFile(
        product=Product(code="P-1", tasks=(Task(number="010", time_ms=7500),))
    )


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffnumber,time_s\n010,7.5\n",
        "number;time_s\r\n010;7,5\r\n",
        "number\ttime_s\n010\t7.5\n",
        "Number,Time (s)\n\n  010 \u00a0,7.50\n,,\n",
        "number,time_min\n010,0.125\n",
        "number,time_cmin\n010,12.5\n",
        "number;time_h\n010;0,002083333\n",
        "number,Time [1/100 min]\n010,12.5\n",
    ],
)
def test_the_same_task_may_be_written_in_many_ways(folder: Path, text: str):
    # 7.5 s = 0.125 min = 12.5 hundredths of a minute; 0.002083333 h = 7.4999988 s
    assert with_tasks(folder, text).product.tasks == (Task(number="010", time_ms=7500),)


@pytest.mark.parametrize(("cell", "time_ms"), [("2", 72), ("1000", 36_000)])  # one TMU is 0.00001 h
def test_times_in_tmu_become_ms(folder: Path, cell: str, time_ms: int):
    assert with_tasks(folder, f"number,time_tmu\n1,{cell}\n").product.tasks[0].time_ms == time_ms


def test_a_time_heading_without_unit_is_refused_with_the_choices(folder: Path):
    (finding,) = with_tasks(folder, "number,time\n010,7.5\n").findings
    assert finding.hint == (
        "Name the unit in the heading: time_s, time_min, time_cmin, time_h, time_tmu, time_ms."
    )


def test_times_without_unit_are_not_read(folder: Path):
    assert with_tasks(folder, "number,time\n010,7.5\n").product.tasks[0].time_ms is None


def test_a_time_finer_than_a_millisecond_is_rounded_half_up(folder: Path):
    assert with_tasks(folder, "number,time_s\n1,0.0005\n").product.tasks[0].time_ms == 1


def test_rounding_a_time_is_noted(folder: Path):
    file = with_tasks(folder, "number,time_s\n1,0.0005\n")
    assert found(file) == [("time-rounded", "tasks.csv, row 2, column time_s")]


@pytest.mark.parametrize(
    "cell", ["-1", "NaN", "inf", "45s", "1:15", '"1,234"', "1e99", "abc", "--5", "1_000", "٣x"]
)
def test_a_time_that_cannot_be_is_named_with_its_place(folder: Path, cell: str):
    file = with_tasks(folder, f"number,time_s\n010,7\n020,{cell}\n")
    assert found(file) == [("value-not-read", "tasks.csv, row 3, column time_s")]


def test_a_finding_names_value_and_rule(folder: Path):
    (finding,) = with_tasks(folder, "number,time_s\n010,-4\n").findings
    assert finding.message == "'-4' was not read: it must be at least 0."


@pytest.mark.parametrize("cell", ["10; 20", '"10, 20"', "10/20", "10 20", "10 ;20;", '"10,20"'])
def test_predecessors_may_be_parted_in_many_ways(folder: Path, cell: str):
    file = with_tasks(folder, f"number,predecessors\n30,{cell}\n")
    assert file.product.tasks[0].predecessors == ("10", "20")


def test_a_number_with_a_blank_is_not_parted_when_it_exists(folder: Path):
    file = with_tasks(folder, "number,predecessors\nA 1,\nB,A 1\n")
    assert file.product.tasks[1].predecessors == ("A 1",)


def test_a_row_without_number_is_named(folder: Path):
    file = with_tasks(folder, "number,time_s\n010,7\nTotal,7\n,14\n")
    assert found(file) == [("task-without-number", "tasks.csv, row 4")]


def test_a_table_without_the_column_of_numbers_is_named(folder: Path):
    assert found(with_tasks(folder, "nummer,time_s\n010,7\n")) == [
        ("unknown-column", "tasks.csv"),
        ("missing-column", "tasks.csv"),
    ]


@pytest.mark.parametrize(
    ("heading", "meant"),
    [("predecesors", "predecessors"), ("time_sekk", "time_s"), ("Tmie (s)", "time_s")],
)
def test_a_misspelt_column_is_an_error_that_says_what_may_be_meant(
    folder: Path, heading: str, meant: str
):
    (finding,) = with_tasks(folder, f"number,{heading}\n010,7\n").findings
    said = (finding.severity, finding.code, finding.hint)
    hint = f"Call it {meant!r} if that is meant; else rename or delete it."
    assert said == (Severity.ERROR, "unknown-column", hint)


@pytest.mark.parametrize("heading", ["predecesors", "time_sekk"])
def test_a_misspelt_column_stops_the_balance(folder: Path, heading: str):
    product = with_tasks(folder, f"number,{heading}\n010,7\n").product
    assert product.stopped(["main"], Use.WORK) != ()


@pytest.mark.parametrize("heading", ["colour", "time_note", "successors"])
def test_a_column_of_ones_own_stops_nothing(folder: Path, heading: str):
    product = with_tasks(folder, f"number,{heading}\n010,7\n").product
    assert product.unread == ()


def test_a_row_with_too_many_cells_is_named(folder: Path):
    file = with_tasks(folder, "number,time_s\n010,7,5\n")
    assert found(file) == [("value-not-read", "tasks.csv, row 2")]


def test_a_step_of_an_unknown_task_is_named_with_its_lookalike(folder: Path):
    (folder / "steps.csv").write_text("task,text\n10,Press\n", encoding="utf-8")
    (finding,) = read_product_folder(folder).findings
    assert finding.message == "There is no task '10'; it looks like '010'."


def test_a_table_that_is_not_known_is_named(folder: Path):
    (folder / "step.csv").write_text("task,text\n", encoding="utf-8")
    assert found(read_product_folder(folder)) == [("unknown-table", "step.csv")]


def test_a_task_without_line_is_on_the_main_line(folder: Path):
    (folder / "product.toml").write_text(HEADER + '[[lines]]\nname = "final"\n', encoding="utf-8")
    assert read_product_folder(folder).product.tasks[0].line == "final"


def test_very_many_findings_of_one_kind_are_counted(folder: Path):
    file = with_tasks(folder, "number,time_s\n" + "1,x\n" * 200)
    assert file.findings[-1].message == "150 more places like those named."


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"number,name\n1,\xff\xfe\n", "file-broken"),
        (b'number,name\n1,"never closed\n', "file-broken"),
        (b"number,name\n1," + b"x" * 200_000, "file-broken"),
        (b"number,name\n1," + b"x" * 40_000, "text-not-stored"),
        (b"number\n" + b"1\n" * 50_001, "file-too-large"),
        (b"number\n" + b" " * 20_000_001, "file-too-large"),
        (b"\x00" * 100, "missing-column"),
    ],
)
def test_a_hostile_table_is_a_finding(folder: Path, data: bytes, code: str):
    assert code in [c for c, _ in found(with_tasks(folder, data))]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"[product\n", "file-broken"),
        (b"\xff\xfe", "file-broken"),
        (b"a = " + b"[" * 100_000, "file-broken"),
        (b"x = 1" + b"0" * 10_000, "file-broken"),
        (b"#" * 2_000_001, "file-too-large"),
        (b"product = 3\n", "value-not-read"),
        (b'[product]\ncode = ["a"]\n', "value-not-read"),
        (b'[product]\ncode = "a"\n[demand]\nquantity = nan\n', "value-not-read"),
        (b'[product]\ncode = "a"\n[demand]\nquantity = -5\n', "value-not-read"),
        (b'[product]\ncode = "a"\n[calendar]\ndays = ["noday"]\n', "value-not-read"),
        (b'[product]\ncode = "a"\n[[shifts]]\nname = "e"\nstart = "25:00"\n', "row-left-out"),
        (b'[product]\ncode = "a"\n[extra]\nx = 1\n', "unknown-table"),
        (b'[product]\ncode = "a"\ncolour = 1\n', "unknown-column"),
        (b"", "value-not-read"),
    ],
)
def test_a_hostile_header_is_a_finding(folder: Path, data: bytes, code: str):
    (folder / "product.toml").write_bytes(data)
    assert code in [c for c, _ in found(read_product_folder(folder))]


def test_a_folder_without_code_takes_its_own_name(folder: Path):
    (folder / "product.toml").write_text("", encoding="utf-8")
    assert read_product_folder(folder).product.code == folder.name


@pytest.mark.parametrize("name", ["tasks.csv", "product.toml", "pictures", "plans"])
def test_a_link_that_leads_outside_is_not_read(folder: Path, tmp_path_factory, name: str):
    outside = tmp_path_factory.mktemp("outside")
    target = outside / "other"
    if "." in name:
        target.write_text("number\n666\n", encoding="utf-8")
        (folder / name).unlink()
    else:
        target.mkdir()
        (target / "secret.png").write_bytes(drawn_picture("PNG"))
    (folder / name).symlink_to(target)
    assert ("file-broken", name) in found(read_product_folder(folder))


def test_a_picture_that_is_a_link_is_not_read(folder: Path, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "secret.png"
    outside.write_bytes(drawn_picture("PNG"))
    (folder / "pictures").mkdir()
    (folder / "pictures" / "a.png").symlink_to(outside)
    assert read_product_folder(folder).pictures == ()


def test_a_pipe_is_not_waited_for(folder: Path):
    os.mkfifo(folder / "steps.csv")
    assert found(read_product_folder(folder)) == [("file-broken", "steps.csv")]


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "a\\\\b.png", "x.svg", ".png"])
def test_a_picture_name_that_leads_elsewhere_is_refused(folder: Path, name: str):
    file = with_tasks(folder, f"number,picture\n010,{name}\n")
    assert ([c for c, _ in found(file)], file.product.tasks[0].picture) == (["picture-refused"], "")


def test_a_missing_table_of_tasks_is_named(folder: Path):
    (folder / "tasks.csv").unlink()
    assert found(read_product_folder(folder)) == [("file-missing", "tasks.csv")]


@pytest.mark.parametrize("text", ["{", "[]", '{"product": 1}', "[" * 100_000])
def test_a_broken_plan_is_named(folder: Path, text: str):
    (folder / "plans").mkdir()
    (folder / "plans" / "a.json").write_text(text, encoding="utf-8")
    assert found(read_product_folder(folder)) == [("plan-file-broken", "plans/a.json")]


def test_no_folder_is_an_error(tmp_path: Path):
    with pytest.raises(SourceError, match="no such folder"):
        read_product_folder(tmp_path / "gone")


def test_a_folder_without_header_is_an_error(tmp_path: Path):
    with pytest.raises(SourceError, match=r"no product\.toml"):
        read_product_folder(tmp_path)


@pytest.mark.parametrize(
    "text", ["=1+1", "+x", "-x", "@x", "\tx", "'=x", "''=x", "\uff1dx", "x", "'x", "", "'"]
)
def test_the_guard_against_formulas_is_undone(text: str):
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["=1+1", "+x", "-x", "@x", "\tx", "\rx", "\nx", "\0x", "\uff20x"])
def test_text_that_begins_like_a_formula_is_guarded(text: str):
    # The list of first characters is that of OWASP ASVS 1.2.10.
    assert guarded(text) == f"'{text}"


def test_a_formula_is_harmless_in_the_file(tmp_path: Path):
    task = Task(number="010", steps=(Step(text="=cmd()"),))
    write_product_folder(tmp_path / "p", Product(code="P", tasks=(task,)), {})
    assert "010,'=cmd(),,,," in (tmp_path / "p" / "steps.csv").read_text(encoding="utf-8")


def test_the_header_is_plain_toml(tmp_path: Path):
    write_product_folder(tmp_path / "p", Product(code='P "1"\\', remarks="a\nb\x7f"), {})
    header = tomllib.loads((tmp_path / "p" / "product.toml").read_text(encoding="utf-8"))
    assert header["product"]["remarks"] == "a\nb\x7f"


def test_writing_again_leaves_nothing_old(tmp_path: Path):
    old = Product(code="P", tasks=(Task(number="1", steps=(Step(text="Press"),)),))
    write_product_folder(tmp_path / "p", old, {})
    write_product_folder(tmp_path / "p", Product(code="P"), {})
    assert read_product_folder(tmp_path / "p").product == Product(code="P")


def test_a_folder_of_other_things_is_not_written_to(tmp_path: Path):
    (tmp_path / "letter.txt").write_text("x", encoding="utf-8")
    with pytest.raises(SourceError, match="other things"):
        write_product_folder(tmp_path, Product(code="P"), {})
