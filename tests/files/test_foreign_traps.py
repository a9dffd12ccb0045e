"""No number of a stranger's sheet is taken wrongly without a word; see `sheet_traps`."""

from dataclasses import replace

import pytest
from own_sheets import OWN
from sheet_traps import TRAPS, Trap, as_csv, table, workbook

from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.import_report import SheetImport
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.model import Task


def read(trap: Trap, answers: dict[str, str] | None = None) -> SheetImport:
    content = workbook(trap) if trap.is_workbook else as_csv(trap.rows)
    sheet = read_foreign(content, "sheet").sheets[0]
    return read_rows(sheet, guess_mapping(sheet), answers or {})


def values(imported: SheetImport) -> dict[str, float | None]:
    """Return the times in s, or the quantities, by number."""
    return {
        each.number: (None if each.time_ms is None else each.time_ms / 1000)
        if isinstance(each, Task)
        else each.quantity
        for each in imported.records
    }


def of_name(trap: Trap) -> str:
    return trap.name


ALL = (*TRAPS, *OWN)
SETTLED = tuple(trap for trap in ALL if trap.answers is not None)


@pytest.mark.parametrize("trap", ALL, ids=of_name)
def test_nothing_but_the_truth_is_taken_before_the_questions_are_answered(trap: Trap):
    taken = values(read(trap)).items()
    assert {n: v for n, v in taken if v is not None and trap.truth.get(n) != v} == {}


@pytest.mark.parametrize("trap", SETTLED, ids=of_name)
def test_what_is_left_open_is_named_by_a_question(trap: Trap):
    imported = read(trap)
    is_whole = values(imported) == trap.truth
    assert is_whole or set(imported.unanswered) & set(trap.answers)


@pytest.mark.parametrize("trap", SETTLED, ids=of_name)
def test_the_answers_lead_to_the_truth(trap: Trap):
    imported = read(trap, trap.answers)
    assert (values(imported), imported.unanswered) == (trap.truth, ())


@pytest.mark.parametrize("turn", [1, 2, 3])
@pytest.mark.parametrize("trap", [t for t in ALL if not t.is_workbook], ids=of_name)
def test_with_its_columns_in_another_order_nothing_but_the_truth_is_taken(trap: Trap, turn: int):
    """A unit row, a footer or a title moves with its column."""
    width = max(map(len, trap.rows))
    order = [*range(turn, width), *range(turn)] if turn < 3 else [*range(width)][::-1]
    padded = [(*row, *[""] * (width - len(row))) for row in trap.rows]
    turned = replace(trap, rows=tuple(tuple(row[n] for n in order) for row in padded))
    taken = values(read(turned)).items()
    assert {n: v for n, v in taken if v is not None and trap.truth.get(n) != v} == {}


@pytest.mark.parametrize("trap", [t for t in TRAPS if t.arrows], ids=of_name)
def test_the_answers_lead_to_the_true_arrows(trap: Trap):
    tasks = read(trap, trap.answers).records
    arrows = tuple(f"{b}>{t.number}" for t in tasks if isinstance(t, Task) for b in t.predecessors)
    assert arrows == trap.arrows


def test_a_column_of_numbers_with_kinds_of_relation_behind_them_is_asked_about():
    rows = table("No;Operation;Time s;VG\n10;a;5;\n20;b;7;10 EA\n30;c;9;20AA\n40;d;9;20EA+5")
    trap = Trap("relations", rows, {})
    assert read(trap).unanswered == ("arrow-column:D",)
    tasks = read(trap, {"arrow-column:D": "predecessors"}).records
    assert [t.predecessors for t in tasks] == [(), ("10",), ("20",), ("20",)]


@pytest.mark.parametrize("text", ["not 20", "20 or 30", "ohne 20", "until 20", "20 unless hot"])
def test_a_list_that_says_more_than_numbers_is_no_arrow_until_that_is_said(text: str):
    rows = table(f"No;Operation;Time s;Predecessors\n20;a;5;\n30;b;7;20\n40;c;9;{text}")
    imported = read(Trap("words", rows, {}))
    assert (imported.records[-1].predecessors, imported.unanswered) == ((), ("words:D",))


@pytest.mark.parametrize(
    ("text", "time_s"), [("1 1/2", 90), ("1/2", 30), ("1\u00bd", 90), ("\u00be", 45)]
)
def test_a_fraction_is_read_where_it_is_plain(text: str, time_s: float):
    rows = table(f"No;Operation;Time min;Predecessors\n20;a;{text};")
    assert values(read(Trap("fraction", rows, {}))) == {"20": time_s}


@pytest.mark.parametrize("text", ["4 pcs", "4 Stk.", "4x", "4 pièces", "4 uds"])
def test_a_word_for_pieces_behind_a_quantity_says_nothing_more(text: str):
    rows = table(f"Part no;Description;Qty\nS1;Screw;{text}")
    assert values(read(Trap("pieces", rows, {}))) == {"S1": 4}


def test_a_cell_shown_as_a_percentage_is_no_time():
    trap = Trap(
        "per cent",
        table("No;Operation;Time s;Predecessors\n10;a;0.45;\n20;b;30;10"),
        {},
        formats={2: "0%"},
    )
    codes = [entry.code for entry in read(trap).report]
    assert (values(read(trap))["10"], codes) == (None, ["percentage", "percentage"])


@pytest.mark.parametrize(
    "text",
    [
        "No;Operation;Time s;Predecessors\n10;Fit base;45;\n20;Fit lid;30;10\n30;Test;12.5;20",
        "Nr.;Arbeitsgang;Zeit [min];Vorgänger\n10;Einlegen;0,75;\n20;Schrauben;0,5;10",
        "N°;Désignation;Temps (s);Antériorités\n10;Poser;45;\n20;Visser;30;10",
        "Nº;Descripción;Tiempo (s);Precedencias\n10;Poner;45;\n20;Atornillar;30;10",
        "No;Task;Time [s];Predecessors;Tools;Station;Remark\n10;Fit;45;;Jig;1;\n20;Lid;30;10;;1;",
        "No;Operation;Time s;After;Weight kg;Cost\n10;Fit;45;;1.5;3\n20;Lid;30;10;2.5;4",
        "Takt 60 s;;;\nNo;Operation;Time s;After\n10;Fit;45;\n20;Lid;30;10\n;Total;75;",
        "Part no;Description;Qty;Unit\nS1;Screw;4;pcs\nS2;Nut;2;pcs",
        "No;Task;Time [s/Stk];Predecessors\n10;Fit;45;\n20;Lid;30;10",
        "No;Operation;Time s;pcs/h;After\n10;Fit;45;80;\n20;Lid;30;120;10",
        "No;Task;Time [HM];Time [s];Predecessors\n10;Fit;75;45;\n20;Lid;50;30;10\n30;a;25;15;20",
    ],
)
def test_a_clean_ordinary_sheet_is_asked_nothing(text: str):
    assert read(Trap("clean", table(text), {})).offers == ()


@pytest.mark.parametrize("trap", [t for t in OWN if t.name.startswith("clean")], ids=of_name)
def test_an_ordinary_sheet_of_ones_own_is_asked_nothing(trap: Trap):
    assert read(trap).offers == ()
