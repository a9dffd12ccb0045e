"""Drop heights, order of drops and impact against the published procedures."""

from dataclasses import replace

import pytest

from stationflow.line.quality.drop_test import drop_plan
from stationflow.model import DropProcedure, PackForm, Packing

BOX = Packing(
    gross_kg=12.5,
    form=PackForm.BOX,
    length_mm=600,
    width_mm=300,
    height_mm=400,
    drop_procedure=DropProcedure.ISTA_1A,
)


def packed(**more: object) -> Packing:
    return replace(BOX, **more)


def test_kilograms_decide_for_the_procedures_that_print_both():
    assert drop_plan(BOX).decided_in == "kg"


def test_ten_drops_on_corner_edges_and_faces_by_size():
    # length 600 along edge 2-3, width 300 along 3-5, height 400 along 2-5; ends 300 x 400, top
    # 600 x 300, sides 600 x 400
    assert [(drop.number, drop.onto) for drop in drop_plan(BOX).drops] == [
        (1, "corner 2-3-5"),
        (2, "edge 3-5 (the shortest)"),
        (3, "edge 2-5 (the next)"),
        (4, "edge 2-3 (the longest)"),
        (5, "face 5 (a smallest)"),
        (6, "face 6 (a smallest)"),
        (7, "face 1 (a medium)"),
        (8, "face 3 (a medium)"),
        (9, "face 2 (a largest)"),
        (10, "face 4 (a largest)"),
    ]


def test_the_weakest_corner_is_dropped_on_first():
    drops = drop_plan(packed(weakest_corner="1-4-6")).drops
    assert [drop.onto for drop in drops[:4]] == [
        "corner 1-4-6",
        "edge 1-6 (the shortest)",
        "edge 4-6 (the next)",
        "edge 1-4 (the longest)",
    ]


def test_without_sizes_edges_and_faces_are_told_in_words():
    drops = drop_plan(packed(length_mm=None)).drops
    assert [drops[1].onto, drops[9].onto] == [
        "the shortest edge from that corner",
        "the other largest face",
    ]


def test_three_faces_that_do_not_meet_are_named_and_the_usual_corner_is_used():
    plan = drop_plan(packed(weakest_corner="1-3-5"))
    assert plan.drops[0].onto == "corner 2-3-5"
    assert [finding.code for finding in plan.findings] == ["no-drop-plan"]
    assert "'1-3-5'" in plan.findings[0].message


@pytest.mark.parametrize("mass", [None, 0.0, -2.0, 68.0, 900.0])
def test_a_mass_without_a_class_has_no_height_and_a_finding(mass):
    plan = drop_plan(packed(gross_kg=mass))
    assert (plan.height_mm, plan.drops, plan.numbers) == (None, (), ())
    assert [finding.code for finding in plan.findings] == ["no-drop-plan"]


def test_where_pounds_would_say_otherwise_it_is_said():
    # 18.8 kg = 41.4 lb: below 19 kg (610 mm), but not below 41 lb (460 mm)
    (finding,) = drop_plan(packed(gross_kg=18.8)).findings
    assert finding.code == "near-drop-class"
    assert "610 mm" in finding.message
    assert "460 mm for 41.4 lb" in finding.message
    assert drop_plan(BOX).findings == ()


def test_heights_given_in_pounds_are_decided_in_pounds():
    # D4169 manual handling I, as remembered: 12.5 kg = 27.6 lb, in 20 to 40 lb: 21 in = 533.4 mm
    plan = drop_plan(packed(drop_procedure=DropProcedure.D4169_I))
    assert (plan.decided_in, plan.height_mm, len(plan.drops)) == ("lb", 533.4, 6)
    assert "from memory" in plan.numbers[0].source


def test_a_sack_has_a_height_and_no_order_of_a_box():
    plan = drop_plan(packed(form=PackForm.SACK))
    assert (plan.height_mm, plan.drops) == (610, ())
    assert "sack" in plan.findings[0].message


def test_the_record_has_a_row_for_each_drop_with_room_to_write():
    plan = drop_plan(BOX)
    assert plan.record_rows[0] == ("1", "corner 2-3-5", "610", "", "", "")
    assert len(plan.record_rows) == 10
    assert len(plan.record_rows[0]) == len(plan.record_columns)


def test_no_procedure_no_plan():
    assert drop_plan(Packing()) is None
