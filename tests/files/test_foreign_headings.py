"""Headings of strangers: found anywhere, in eight languages. Words are common practice."""

import pytest

from stationflow.files.foreign.column_mapping import (
    TableKind,
    Target,
    heading_signature,
    mapping_from_json,
    mapping_to_json,
    remembered_mapping,
)
from stationflow.files.foreign.columns.headings import column_samples, guess_mapping
from stationflow.files.foreign.foreign_sheet import ForeignSheet, MergedRange
from stationflow.files.foreign.heading_words import with_own_words
from stationflow.files.foreign.sheets.text_file import read_pasted
from stationflow.units import TimeUnit

FOUR = [Target.NUMBER, Target.NAME, Target.TIME, Target.PREDECESSORS]


def sheet(*rows: tuple[object, ...], **others: object) -> ForeignSheet:
    return ForeignSheet(name="S", rows=tuple(rows), **others)


def targets(*headings: str) -> list[Target]:
    return [c.target for c in guess_mapping(sheet(headings, ("10", "x", "1", ""))).columns]


@pytest.mark.parametrize(
    "headings",
    [
        ("Task No.", "Description", "Time", "Predecessors"),
        ("Lfd. Nr.", "Arbeitsgang", "Vorgabezeit", "Vorgänger"),
        ("N°", "Désignation", "Temps", "Antériorités"),
        ("Nº", "Descripción", "Tiempo", "Precedencias"),
        ("N.", "Descrizione", "Tempo", "Precedenze"),
        ("Lp.", "Czynność", "Czas", "Poprzedniki"),
        ("Volgnummer", "Omschrijving", "Tijd", "Voorgangers"),
        ("Código", "Descrição", "Tempo", "Predecessoras"),
        ("№", "Операция", "Время", "Предшественники"),
        ("序号", "工序名称", "标准时间", "紧前工序"),
        ("#", "Work element", "Std time (min)", "Immediate predecessors"),
        ("Op. No.", "Operation", "Cycle time, sec", "Must follow"),
    ],
)
def test_the_columns_are_found_in_the_language_of_the_sheet(headings: tuple[str, ...]):
    assert targets(*headings) == FOUR


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("Time [s]", TimeUnit.SECOND), ("Zeit in min", TimeUnit.MINUTE),
        ("Time (sec.)", TimeUnit.SECOND),
        ("Zeit HM", TimeUnit.CENTIMINUTE), ("Time min/100", TimeUnit.CENTIMINUTE),
        ("time_s", TimeUnit.SECOND),
        ("Time (1/100 min)", TimeUnit.CENTIMINUTE), ("Time TMU", TimeUnit.TMU), ("Std. Time", None),
        ("Time", None), ("Zeit (Std)", TimeUnit.HOUR), ("Temps (secondes)", TimeUnit.SECOND),
    ],
)  # fmt: skip
def test_the_unit_is_read_from_the_heading(heading: str, unit: TimeUnit | None):
    mapping = guess_mapping(sheet(("No", "Task name", heading), ("10", "x", "1")))
    assert mapping.columns[2].unit == unit


def test_headings_below_a_title_and_blank_rows_are_found():
    found = guess_mapping(sheet(("Study",), (), (), ("No", "Task name", "Time"), ("1", "x", "2")))
    assert (found.header_row, found.first_data_row) == (4, 5)


def test_a_row_of_units_belongs_to_the_headings():
    mapping = guess_mapping(sheet(("No", "Task name", "Time"), (None, None, "[min]"), (10, "x", 2)))
    assert (mapping.header_rows, mapping.columns[2].unit) == (2, TimeUnit.MINUTE)


def test_merged_headings_of_two_rows_are_joined():
    merged = (MergedRange(first_row=1, last_row=1, first_column=2, last_column=3),)
    mapping = guess_mapping(
        sheet(("No", "Name", "Time", None), (None, None, "Model A", "Model B"), (10, "x", 1, 2),
              merged=merged)
    )  # fmt: skip
    assert [(c.target, c.model) for c in mapping.columns[2:]] == [
        (Target.MODEL_TIME, "A"),
        (Target.MODEL_TIME, "B"),
    ]


def test_a_table_without_headings_is_judged_by_its_cells():
    rows = [("10", "Fit the base", "7.5", ""), ("20", "Fit the lid", "45 s", "10"),
            ("30", "Turn it over", "3", "10;20")]  # fmt: skip
    mapping = guess_mapping(sheet(*rows))
    assert (mapping.header_row, [c.target for c in mapping.columns]) == (0, FOUR)


def test_a_parts_list_is_recognised():
    mapping = guess_mapping(
        read_pasted("Part no\tName\tQty\tWeight (g)\nP-1\tBolt\t4\t2").sheets[0]
    )
    assert (mapping.kind, [c.target for c in mapping.columns]) == (
        TableKind.PARTS,
        [Target.PART_NUMBER, Target.PART_NAME, Target.QUANTITY, Target.WEIGHT],
    )


def test_part_number_description_and_quantity_are_a_parts_list():
    mapping = guess_mapping(sheet(("Part no.", "Description", "Qty"), ("P-1", "Base plate", 1)))
    assert mapping.kind == TableKind.PARTS


def test_a_target_is_given_to_one_column_only():
    assert targets("No", "Name", "Time", "Name").count(Target.NAME) == 1


def test_choosing_a_target_takes_it_from_the_other_column():
    mapping = guess_mapping(sheet(("No", "Name", "Time", "Old"), (1, 2, 3, 4)))
    chosen = mapping.with_column(3, target=Target.TIME)
    assert [c.target for c in chosen.columns[2:]] == [Target.LEFT_OUT, Target.TIME]


def test_samples_are_the_first_filled_cells():
    table = sheet(("No", "Name"), (10, None), (20, "b"), (30, "c"))
    assert column_samples(table, guess_mapping(table), 1) == ("b", "c")


def test_equal_headings_have_equal_signatures():
    one = sheet(("No", " Task  NAME"), (1, 2))
    two = sheet(("Title",), ("no", "task name", None))
    assert heading_signature(one, 1) == heading_signature(two, 2)


def test_other_headings_have_another_signature():
    table = sheet(("No", "Task"), ("No", "Name"))
    assert heading_signature(table, 1) != heading_signature(table, 2)


def test_a_mapping_survives_being_remembered():
    mapping = guess_mapping(sheet(("No", "Name", "Time [s]", "Time model B"), (1, 2, 3, 4)))
    back = mapping_from_json(mapping_to_json(mapping))
    assert mapping_to_json(back) == mapping_to_json(mapping)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"kind": "tasks"}', "null", '{"kind": 7}'])
def test_what_is_no_mapping_is_refused(text: str):
    with pytest.raises(ValueError, match=r"."):
        mapping_from_json(text)


def test_a_remembered_mapping_moves_to_the_row_of_the_headings():
    mapping = guess_mapping(sheet(("No", "Name"), (1, 2)))
    assert remembered_mapping(sheet((), (), ("No", "Name")), 3, mapping).header_row == 3


@pytest.mark.parametrize(
    ("heading", "target"),
    [
        ("Prede-\ncessors", Target.PREDECESSORS), ("Prede\ncessors", Target.PREDECESSORS),
        ("Prede- cessors", Target.PREDECESSORS), ("Vor-\r\ngänger", Target.PREDECESSORS),
        ("Prédé\u00adcesseurs", Target.PREDECESSORS), ("Prece-\ndencias", Target.PREDECESSORS),
        ("Immediate\npredecessors", Target.PREDECESSORS),
        ("Vorgabe-\nzeit\n[s]", Target.TIME), ("Standard\ntime (s)", Target.TIME),
    ],
)  # fmt: skip
def test_a_heading_with_a_line_break_is_known(heading: str, target: Target):
    rows = (("No", "Task name", heading), ("10", "x", "1"))
    assert guess_mapping(sheet(*rows)).columns[2].target == target


def test_a_heading_parted_over_two_rows_is_known():
    merged = (MergedRange(first_row=1, last_row=2, first_column=0, last_column=0),)
    table = sheet(("No", "Name", "Prede-"), (None, None, "cessors"), (10, "x", ""), merged=merged)
    assert guess_mapping(table).columns[2].target == Target.PREDECESSORS


def added(tmp_path, text: str) -> tuple[dict, str]:
    """Return lists of words with those of a user's file, and what is wrong with it."""
    path = tmp_path / "words.toml"
    path.write_text(text, "utf-8")
    words = {"tasks": {"NAME": ["name, task"]}}
    return words, with_own_words(words, str(path))


def test_a_user_can_add_words_in_a_file_of_the_same_form(tmp_path):
    words, problem = added(tmp_path, '[tasks]\nNAME = ["munka, feladat"]\n')
    assert (words["tasks"]["NAME"], problem) == (["name, task", "munka, feladat"], "")


@pytest.mark.parametrize("text", ["[tasks", '[tasks]\nNAMES = ["x"]\n', "[tasks]\nNAME = [1]\n"])
def test_a_file_of_words_that_cannot_be_used_is_said(tmp_path, text: str):
    assert "words.toml" in added(tmp_path, text)[1]
