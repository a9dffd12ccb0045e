"""Machines at the pace of their line. By hand unless a source is named."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_formulas import misses

from stationflow.line.machines.machine_figures import MachineFigures, machine_figures
from stationflow.model import Machine, MachineKind

# 250 placements of 0.25 s, 10 s loading, availability 0.9 (36 of 40 minutes), one unit in 45 s:
# 72.5 / (45 x 0.9) = 1.790, so 2.
INSERTER = Machine(
    name="Inserter",
    kind=MachineKind.INSERTER,
    pieces=250,
    piece_ms=250,
    load_ms=10_000,
    mtbf_min=36,
    mttr_min=4,
)
WAVE = Machine(
    name="Wave",
    kind=MachineKind.IN_LINE,
    length_m=2.4,
    speed_m_per_min=1.2,
    spacing_m=0.4,
)
WASHER = Machine(
    name="Washer", kind=MachineKind.BATCH, load_ms=60_000, process_ms=540_000, batch=12
)
PRESS = Machine(name="Press", kind=MachineKind.PRESS, pieces=3, piece_ms=4_000, load_ms=6_000)
CUTTER = Machine(
    name="Cutter",
    kind=MachineKind.CUTTER,
    pieces=2,
    process_ms=20_000,
    load_ms=10_000,
    batch=8,
    yield_share=0.75,
)
ALL = (INSERTER, WAVE, WASHER, PRESS, CUTTER)


def at(machine: Machine, takt: str | int = 45, **facts: Any) -> MachineFigures:
    return machine_figures(machine, Fraction(takt), **facts)


def codes(machine: Machine) -> list[str]:
    return [finding.code for finding in at(machine).findings]


def test_an_inserter_is_counted_by_placements_and_availability():
    assert at(INSERTER).needed == 2


def test_the_number_before_rounding_is_shown():
    assert "1.79" in next(n for n in at(INSERTER).numbers if n.key == "needed").worked


def test_the_utilisation_is_of_the_time_the_machines_run():
    assert at(INSERTER).utilisation == pytest.approx(72.5 / (2 * 40.5))


def test_a_quotient_that_comes_out_even_is_not_rounded_up():
    # 0.1 s x 101 / 1.01 s: in floats 10.000000000000002, exactly 10.
    machine = Machine(name="M", kind=MachineKind.PRESS, pieces=101, piece_ms=100)
    assert at(machine, "1.01").needed == 10


def test_a_wave_is_paced_by_the_distance_of_units():
    assert at(WAVE).cycle_s == 20  # 0.4 m at 1.2 m/min


def test_a_unit_is_in_the_wave_for_length_over_speed():
    assert at(WAVE).through_s == 120  # 2.4 m at 1.2 m/min


def test_the_units_in_the_wave_are_length_over_distance():
    assert at(WAVE).inside == 6


def test_a_wave_in_which_the_process_has_no_time_is_named():
    assert codes(replace(WAVE, process_ms=121_000)) == ["machine-too-short"]


def test_a_process_asks_for_a_length_at_a_speed():
    told = {n.key: n.value for n in at(replace(WAVE, process_ms=90_000)).numbers}
    assert told["length-needed"] == 1.8  # 1.2 m/min x 1.5 min


def test_the_pace_asks_for_a_speed():
    told = {n.key: n.value for n in at(replace(WAVE, batch=2)).numbers}
    assert told["speed-needed"] == pytest.approx(0.4 / 90 * 60)  # two units on a carrier


def test_a_batch_shares_its_time():
    assert at(WASHER).cycle_s == 50  # 600 s for 12 units


def test_a_batch_gathers_before_and_stands_after_it():
    assert (at(WASHER).places_before, at(WASHER).places_after) == (12, 12)


def test_a_press_is_counted_by_strokes():
    assert at(PRESS, 18).needed == 1  # 3 x 4 s + 6 s


def test_a_cutter_is_counted_by_sheets_with_their_yield():
    assert at(CUTTER).cycle_s == 10  # 30 s x 2 / 8 parts / 0.75


def test_a_sheet_gives_its_good_parts_at_once():
    assert at(CUTTER).places_after == 3  # 8 x 0.75 / 2


def test_the_magazines_run_empty_after_all_their_pieces():
    machine = replace(INSERTER, magazine=2500, magazines=4)
    assert at(machine).empty_after_s == 4 * 2500 * 2 * 45 / 250  # on two machines


def test_magazines_are_changed_as_pieces_are_used():
    # 28 800 s / 45 s = 640 units of 250 pieces, 2 500 in a magazine.
    assert at(replace(INSERTER, magazine=2500), shift=Fraction(28_800)).changes_per_shift == 64


def test_a_change_takes_machine_time():
    machine = replace(PRESS, magazine=30, change_ms=20_000)
    assert at(machine).cycle_s == 20  # 18 s + 20 s x 3 / 30


def test_units_wait_while_a_magazine_is_changed():
    assert at(replace(PRESS, magazine=30, change_ms=50_000)).places_before == 2  # 50 s / 45 s


def test_too_few_places_are_named():
    assert codes(replace(WASHER, places_after=5, count=2)) == ["places-short"]


def test_a_machine_at_a_station_stands_in_each_copy_of_the_line():
    assert at(PRESS, copies=2, station=3).needed == 2


def test_a_machine_ahead_of_the_line_serves_all_copies():
    # A start in 36 s on each of two lines: one in 18 s.
    assert at(PRESS, 36, copies=2).needed == 1


def test_too_few_machines_are_named():
    assert codes(replace(INSERTER, count=1)) == ["machine-overloaded"]


def test_power_is_that_of_all_machines():
    assert at(replace(INSERTER, power_w=1500)).power_w == 3000


@pytest.mark.parametrize(
    ("machine", "facts", "code"),
    [
        (INSERTER, {"magazine": 0}, "machine-number-impossible"),
        (INSERTER, {"pieces": 0}, "machine-number-impossible"),
        (INSERTER, {"count": 0}, "machine-number-impossible"),
        (INSERTER, {"mtbf_min": 0}, "stop-without-run"),
        (INSERTER, {"piece_ms": None}, "machine-not-counted"),
        (INSERTER, {"mttr_min": 0}, "stop-of-no-length"),
        (INSERTER, {"mttr_min": None}, "stops-half-entered"),
        (WAVE, {"speed_m_per_min": 0}, "machine-number-impossible"),
        (WAVE, {"spacing_m": None}, "machine-not-counted"),
        (WAVE, {"length_m": float("inf")}, "machine-number-impossible"),
        (WASHER, {"batch": 0, "count": 2}, "machine-number-impossible"),
        (WASHER, {"batch": None}, "machine-not-counted"),
        (CUTTER, {"yield_share": 75}, "share-out-of-range"),
        (CUTTER, {"yield_share": 0}, "share-out-of-range"),
    ],
)
def test_a_number_that_cannot_be_is_named(machine: Machine, facts: dict[str, Any], code: str):
    assert codes(replace(machine, **facts)) == [code]


@pytest.mark.parametrize("machine", ALL, ids=lambda m: m.name)
def test_without_a_pace_nothing_is_computed(machine: Machine):
    assert machine_figures(machine, None).numbers == ()


@pytest.mark.parametrize("machine", ALL, ids=lambda m: m.name)
def test_every_text_gives_its_number(machine: Machine):
    machine = replace(
        machine,
        process_ms=machine.process_ms or 99_000,
        power_w=1200,
        magazine=700,
        magazines=3,
        change_ms=7_000,
        batch=machine.batch or 7,
    )
    told = at(machine, "45.7", shift=Fraction(27_000)).numbers
    assert [miss for number in told for miss in misses(number)] == []


@given(
    st.sampled_from(ALL),
    st.integers(1, 10_000),
    st.fractions(min_value=1, max_value=200, max_denominator=50),
)
def test_all_times_scaled_change_no_count(machine: Machine, k: int, takt: Fraction):
    facts = {
        name: getattr(machine, name) * k
        for name in ("piece_ms", "load_ms", "process_ms", "change_ms")
        if getattr(machine, name)
    }
    if machine.spacing_m:
        facts["spacing_m"] = round(machine.spacing_m * k, 3)
    one, other = at(machine, takt), at(replace(machine, **facts), takt * k)
    assert (one.needed, one.places_before) == (other.needed, other.places_before)


@given(st.sampled_from(ALL), st.fractions(min_value=1, max_value=200, max_denominator=50))
def test_as_many_machines_as_needed_are_enough_and_one_less_is_not(
    machine: Machine, takt: Fraction
):
    told = at(machine, takt)
    assert told.needed
    use = told.utilisation or 0
    assert use <= 1 < use * told.needed / max(told.needed - 1, 1e-9)
