"""What strangers give as a file. Contents are common practice, no source, unless said."""

import io
import itertools
import zipfile
from datetime import datetime, timedelta

import pytest
import xlsxwriter

from stationflow.errors import SourceError
from stationflow.files.foreign.foreign_sheet import (
    DateCell,
    FileKind,
    FormulaWithoutValue,
    MergedRange,
    ShownNumber,
)
from stationflow.files.foreign.sheets import workbook_parts
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.foreign.sheets.sheet_reading import Book, read_sheet
from stationflow.files.foreign.sheets.text_file import read_pasted
from stationflow.model.schema.cells import FormulaError

DAY = datetime(2026, 2, 1)  # noqa: DTZ001
OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 500  # container of [MS-CFB], 2.2


def workbook(fill) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        fill(book, book.add_worksheet("Sheet1"))
    return out.getvalue()


def packed(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return out.getvalue()


def with_part(content: bytes, name: str, change) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        parts = {n: package.read(n) for n in package.namelist()}
    parts[name] = change(parts.get(name, b""))
    return packed(**parts)


SIMPLE = workbook(lambda book, sheet: sheet.write_row(0, 0, ["Number", "Time", 10]))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty"),
        (b"  \n \n", "nothing stands in it"),
        (b"%PDF-1.7 ...", "PDF document"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (OLD + "Workbook".encode("utf-16-le"), "old format (.xls)"),
        (OLD + "EncryptedPackage".encode("utf-16-le"), "protected by a password"),
        (packed(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "OpenDocument"),
        (packed(**{"word/document.xml": b"<x/>"}), "word processor"),
        (packed(**{"xl/workbook.bin": b"x"}), ".xlsb"),
        (packed(**{"holiday.jpg": b"x"}), "without a workbook in it"),
        (SIMPLE[:-200], "damaged or was cut off"),
        (b"\0\1\2\3" * 200, "neither a workbook nor a text table"),
        (b"x" * 200_000_001, "at most 200 MB"),
        (with_part(SIMPLE, "xl/worksheets/sheet1.xml", lambda x: x[:-300]), "damaged"),
        (workbook(lambda book, sheet: None), "the workbook is empty"),
    ],
)
def test_what_is_no_table_is_refused_in_its_own_sentence(content: bytes, said: str):
    with pytest.raises(SourceError) as refusal:
        read_foreign(content, "tasks.xlsx")
    assert said in refusal.value.message


def test_an_entity_bomb_is_refused():
    """Billion laughs, CWE-776."""
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><x>&b;</x>'
    with pytest.raises(SourceError, match="document type"):
        read_foreign(with_part(SIMPLE, "xl/worksheets/sheet1.xml", lambda _: bomb), "x.xlsx")


def test_a_zip_bomb_is_refused_before_it_is_unpacked(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(workbook_parts, "LARGEST_UNPACKED", 1_000_000)
    bomb = with_part(SIMPLE, "xl/worksheets/sheet2.xml", lambda _: b" " * 3_000_000)
    with pytest.raises(SourceError, match="with 3 MB"):
        read_foreign(bomb, "x.xlsx")


def test_a_part_too_large_is_refused_before_it_is_unpacked(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(workbook_parts, "LARGEST_PART", 1_000_000)
    bomb = with_part(SIMPLE, "xl/worksheets/sheet1.xml", lambda _: b" " * 3_000_000)
    with pytest.raises(SourceError, match="larger than 1 MB"):
        read_foreign(bomb, "x.xlsx")


def test_a_part_that_unpacks_to_more_than_it_claims_is_damaged():
    """The directory of a zip bomb may lie: no more than it claims is unpacked."""
    bomb = with_part(SIMPLE, "xl/worksheets/sheet1.xml", lambda x: x + b" " * 5_000_000)
    with zipfile.ZipFile(io.BytesIO(bomb)) as package:
        size = package.getinfo("xl/worksheets/sheet1.xml").file_size
    lying = bomb.replace(size.to_bytes(4, "little"), (1000).to_bytes(4, "little"))
    with pytest.raises(SourceError, match="damaged"):
        read_foreign(lying, "x.xlsx")


def test_endless_empty_cells_end_the_reading():
    empty = [("row", {}, ""), ("c", {}, ""), ("c", None, ""), ("c", {}, ""), ("c", None, "")]
    endless = itertools.chain(empty, itertools.repeat(("c", {}, "")))
    sheet, said = read_sheet(endless, "S", Book(places_left=2))
    assert (sheet.rows, "most of them empty; reading stopped in row 1." in said[0]) == ((), True)


def test_the_content_decides_not_the_name():
    assert read_foreign(SIMPLE, "tasks.csv").kind == FileKind.WORKBOOK


def cell_of(fill) -> object:
    return read_foreign(workbook(fill), "x.xlsx").sheets[0].cell(1, 0)


def test_a_formula_gives_its_cached_value():
    assert cell_of(lambda b, s: s.write_formula(0, 0, "=10+7.5", None, 17.5)) == 17.5


def test_a_failed_formula_is_an_error_cell():
    raw = cell_of(lambda b, s: s.write_formula(0, 0, "=1/0", None, "#DIV/0!"))
    assert raw == FormulaError("#DIV/0!")


def test_a_formula_without_result_is_named():
    content = workbook(lambda b, s: s.write_formula(0, 0, "=A2*2", None, 5))
    bare = with_part(content, "xl/worksheets/sheet1.xml", lambda x: x.replace(b"<v>5</v>", b""))
    assert read_foreign(bare, "x").sheets[0].cell(1, 0) == FormulaWithoutValue("A2*2")


def test_a_date_keeps_its_number_format():
    def fill(book, sheet):
        sheet.write_datetime(0, 0, DAY, book.add_format({"num_format": 16}))

    assert cell_of(fill) == DateCell(DAY, "d-mmm")


def test_a_length_of_time_beyond_a_day_is_kept():
    def fill(book, sheet):
        sheet.write_number(0, 0, 1.5, book.add_format({"num_format": "[h]:mm:ss"}))

    assert cell_of(fill) == DateCell(timedelta(hours=36), "[h]:mm:ss")


def test_zeros_that_only_the_format_shows_are_kept():
    raw = cell_of(lambda b, s: s.write_number(0, 0, 12, b.add_format({"num_format": "0000"})))
    assert raw == ShownNumber(12.0, "0012")


def test_a_colour_in_a_number_format_makes_no_date():
    raw = cell_of(lambda b, s: s.write_number(0, 0, 12, b.add_format({"num_format": "[Red]0.0"})))
    assert raw == 12.0


def test_merged_and_hidden_cells_are_told():
    def fill(book, sheet):
        sheet.merge_range(0, 0, 2, 0, "10")
        sheet.set_row(1, None, None, {"hidden": True})
        sheet.set_column(2, 3, None, None, {"hidden": True})

    sheet = read_foreign(workbook(fill), "x").sheets[0]
    merged = MergedRange(first_row=1, last_row=3, first_column=0, last_column=0)
    assert (sheet.merged, sheet.hidden_rows, sheet.hidden_columns) == (
        (merged,),
        frozenset({2}),
        frozenset({2, 3}),
    )


def test_a_hidden_sheet_is_told():
    def fill(book, sheet):
        sheet.write(0, 0, 1)
        book.add_worksheet("Old").hide()

    assert [s.is_hidden for s in read_foreign(workbook(fill), "x").sheets] == [False, True]


def test_a_line_end_escaped_by_the_format_is_read():
    """ECMA-376-1, 22.9.2.19: _x000D_ is a carriage return."""
    raw = with_part(SIMPLE, "xl/sharedStrings.xml", lambda x: x.replace(b"Number", b"a_x000D_b"))
    assert read_foreign(raw, "x").sheets[0].cell(1, 0) == "a\rb"


def test_a_cell_beyond_all_columns_is_left_out_and_told():
    def change(part: bytes) -> bytes:
        return part.replace(b'r="C1"', b'r="XFD1"')

    file = read_foreign(with_part(SIMPLE, "xl/worksheets/sheet1.xml", change), "x")
    assert (file.sheets[0].width, "256 columns" in file.findings[0].message) == (2, True)


def test_rows_beyond_the_limit_are_left_out_and_told():
    file = read_foreign(b"10;a\n" * 25_001, "x.csv")
    assert (len(file.sheets[0].rows), "25000 rows" in file.findings[0].message) == (25_000, True)


ENCODED = [
    ("cp1252", "Nr.;Tätigkeit;Zeit\n10;Gehäuse einsetzen;7,5\n20;Lüfter löten;1,2\n"),
    ("cp1250", "Lp;Czynność;Czas\n10;Wkręcić śruby;0,45\n20;Założyć część;0,3\n"),
    ("cp1251", "№;Операция;Время\n10;Установить корпус;12\n20;Сборка;5\n"),
    ("gb18030", "序号;工序名称;标准时间\n10;安装底座;12\n20;拧紧螺丝;5\n"),
    ("shift_jis", "番号;作業名;時間\n10;ケース取付;12\n20;ネジ締め;5\n"),
    ("mac_roman", "No;Désignation;Durée\n10;Fixer la pièce;12\n20;Contrôle à la clé;5\n"),
    ("utf-16", "Nr;Tätigkeit\n10;Gehäuse\n"),
    ("utf-16-le", "Nr;Tätigkeit\n10;Gehäuse\n"),
    ("utf-16-be", "Nr;Tätigkeit\n10;Gehäuse\n"),
    ("utf-8", "Nr;Tätigkeit\n10;Gehäuse\n"),
    ("utf-8-sig", "Nr;Tätigkeit\n10;Gehäuse\n"),
]


@pytest.mark.parametrize(("encoding", "text"), ENCODED, ids=[e for e, _ in ENCODED])
def test_the_encoding_is_found(encoding: str, text: str):
    first = text.splitlines()[0].split(";")
    file = read_foreign(text.encode(encoding), "x.csv")
    assert list(file.sheets[0].rows[0]) == first


def test_a_guessed_encoding_is_said():
    file = read_foreign(ENCODED[0][1].encode("cp1252"), "x.csv")
    assert "taken for cp1252" in file.findings[0].message


def test_the_encoding_can_be_chosen():
    file = read_foreign("Nr;Größe\n".encode("cp850"), "x.csv", encoding="cp850")
    assert file.sheets[0].rows[0] == ("Nr", "Größe")


def test_an_unknown_encoding_is_refused():
    with pytest.raises(SourceError, match="no encoding 'klingon'"):
        read_foreign(b"a;b", "x.csv", encoding="klingon")


@pytest.mark.parametrize("delimiter", [";", ",", "\t", "|"])
def test_the_delimiter_is_found(delimiter: str):
    rows = [["No", "Task", "Time"], ["10", "Fit base", "7.5"], ["20", "Fit lid", "3"]]
    text = "\n".join(delimiter.join(row) for row in rows)
    assert read_foreign(text.encode(), "x.txt").delimiter == delimiter


def test_decimal_commas_do_not_look_like_delimiters():
    assert read_foreign(b"No;Task;Time\n10;Fit;0,45\n20;Lid;1,5\n", "x").delimiter == ";"


def test_the_line_that_names_the_delimiter_is_obeyed():
    """The line "sep=|", which spreadsheet programs write and read."""
    file = read_foreign(b"sep=|\nNo|Task;a\n10|Fit\n", "x.csv")
    assert file.sheets[0].cell(2, 1) == "Task;a"


def test_a_quotation_mark_that_never_closes_does_not_swallow_the_table():
    rows = "\n".join(f'{n};Fit "{n}' if n == 3 else f"{n};Fit {n}" for n in range(500))
    file = read_foreign(rows.replace('Fit "3', '"Fit 3').encode(), "x.csv")
    assert (len(file.sheets[0].rows), "never closed" in file.findings[0].message) == (500, True)


def test_a_pasted_block_is_parted_by_tabs():
    assert read_pasted("10\tFit, turn\n20\tLid\n").sheets[0].rows == (
        ("10", "Fit, turn"),
        ("20", "Lid"),
    )


def test_line_ends_inside_a_pasted_cell_are_kept():
    assert read_pasted('10\t"a\nb"\n').sheets[0].rows == (("10", "a\nb"),)


def test_a_guarded_cell_loses_its_apostrophe():
    """CWE-1236: what begins like a formula was guarded on writing."""
    assert read_foreign(b"No;Task\n10;'=1+1\n", "x").sheets[0].cell(2, 1) == "=1+1"
