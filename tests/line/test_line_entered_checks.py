"""What is entered about the whole line is judged field by field, in a sentence each."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from product_strategies import products
from small_products import LAMP

from stationflow.line.entered_checks import check_flow
from stationflow.model import (
    Equipment,
    Fault,
    FaultCount,
    Line,
    Machine,
    MachineKind,
    Packing,
    Product,
    QualityKind,
    QualityStep,
    StationSetting,
)


def said(**more: Any) -> list[tuple[str, str, str]]:
    return [(f.code, f.where, f.message) for f in check_flow(replace(LAMP, **more))]


def of_test(**fields: Any) -> list[tuple[str, str, str]]:
    """Return what is said of the lamp when its task 50 is a function test with these fields."""
    step = QualityStep(**{"kind": QualityKind.FUNCTION_TEST, **fields})
    return said(tasks=(*LAMP.tasks[:4], replace(LAMP.tasks[4], quality=step)))


def of_station(**fields: Any) -> list[tuple[str, str, str]]:
    return said(lines=(Line(stations=(StationSetting(number=2, **fields),)),))


def test_the_lamp_has_nothing_to_be_said_of():
    assert said() == []


def test_a_first_pass_yield_entered_as_95_is_named_with_the_rule():
    assert of_test(first_pass_share=95) == [
        (
            "share-out-of-range",
            "Task 50",
            "First pass share is 95; a share lies between 0 and 1.",
        )
    ]


@pytest.mark.parametrize("name", ["repeat_pass_share", "scrap_share", "empty_share"])
def test_every_share_of_a_test_is_judged(name: str):
    assert [code for code, _, _ in of_test(**{name: 1.5})] == ["share-out-of-range"]


def test_a_part_that_is_there_for_more_than_all_units_is_named():
    part = replace(LAMP.parts[0], present_share=99.5)
    assert [(c, w) for c, w, _ in said(parts=(part,))] == [("share-out-of-range", "Part P-1")]


def test_repair_that_neither_passes_nor_scraps_has_no_exit():
    assert of_test(repeat_pass_share=0, scrap_share=0) == [
        (
            "repair-without-exit",
            "Task 50",
            "None of its repaired units passes and none is scrapped: a reject never leaves.",
        )
    ]


def test_repair_has_an_exit_where_rejects_are_scrapped():
    assert of_test(repeat_pass_share=0, scrap_share=1) == []


@pytest.mark.parametrize("process_ms", [None, 0])
def test_a_soak_without_time_is_named(process_ms: int | None):
    found = of_test(kind=QualityKind.SOAK, process_ms=process_ms)
    assert [code for code, _, _ in found] == ["soak-without-time"]


@pytest.mark.parametrize("name", ["positions", "repairers"])
def test_no_position_and_no_repairer_are_not_taken_as_computed(name: str):
    assert [code for code, _, _ in of_test(**{name: 0})] == ["none-there"]


def test_a_line_of_nothing_but_empty_places_starts_no_unit():
    assert [code for code, _, _ in of_test(empty_share=1)] == ["no-place-left"]


def test_a_quality_limit_without_a_lot_is_half_a_sampling_plan():
    assert of_test(aql_percent=0.65) == [
        (
            "sampling-half-entered",
            "Task 50",
            "Samples are to be taken of lots; the lot and the inspection level are not entered.",
        )
    ]


def test_stops_that_last_no_time_are_named():
    assert of_station(mtbf_min=600, mttr_min=0) == [
        (
            "stop-of-no-length",
            "Line main, station 2",
            "It stops every 600 min, and its stops last 0 min.",
        )
    ]


def test_a_time_to_repair_without_a_time_between_stops_is_half_of_it():
    assert of_station(mttr_min=4.5) == [
        (
            "stops-half-entered",
            "Line main, station 2",
            "Its stops last 4.5 min; how long it runs between them is missing.",
        )
    ]


def test_equipment_that_never_runs_is_named():
    piece = Equipment(name="Press", mtbf_min=0, mttr_min=4)
    assert [(c, w) for c, w, _ in said(equipment=(piece,))] == [
        ("stop-without-run", "Equipment Press")
    ]


@pytest.mark.parametrize("name", ["pitch_m", "hall_m", "speed_limit_m_per_min"])
def test_a_line_without_length_or_speed_is_named(name: str):
    assert [code for code, _, _ in said(lines=(Line(**{name: 0.0}),))] == ["number-zero"]


def test_a_packed_unit_without_mass_is_named():
    assert said(packing=Packing(gross_kg=0)) == [
        ("number-zero", "Packing", "Gross mass is 0; it is above 0 where it is entered.")
    ]


def test_a_fault_found_at_a_task_that_tests_nothing_is_named():
    assert said(faults=(Fault(code="F1", gate="20"),)) == [
        (
            "fault-without-test",
            "Fault F1",
            "It is found at task 20, which is no test, inspection or soak.",
        )
    ]


def test_a_machine_that_does_an_unknown_task_is_named():
    machine = Machine(name="Oven", kind=MachineKind.PRESS, piece_ms=1, task="99")
    assert said(machines=(machine,)) == [
        ("unknown-task", "Machine Oven", "It does '99', which is no task.")
    ]


def test_a_count_of_an_unknown_fault_is_named_by_its_day():
    assert said(tally=(FaultCount(date="2026-03-02", fault="F7"),)) == [
        (
            "unknown-fault",
            "Tally of 2026-03-02",
            "It counts 'F7', which the list of faults does not hold.",
        )
    ]


@settings(max_examples=60)
@given(products({}))
def test_whatever_is_entered_is_judged_in_words_without_infinity(product: Product):
    assert [f for f in check_flow(product) if "inf" in f.message.split()] == []
